package mixed

import (
	"math"
	"slices"
)

const (
	mostTrials   = 5000
	offsetSmall  = 1e-10 // relative offset at which a search ends
	offsetGood   = 1e-6  // relative offset at which it may end if rounding allows no smaller one
	offsetHidden = 1e-4  // below it rounding can hide the fall of the sum of squares
	mostFailures = 3     // trials without a fall of a hidden offset before it counts as rounding
	firstDamping = 1     // to begin with as much as the columns themselves: a start far off
	mostDamping  = 1e30
	mostBend     = 0.75 // largest share of a step that its bend may be
	ahead        = 0.1  // part of a step over which the curve's bend is seen
)

// damp lowers the weighted sum of squares in β, the groups' effects held
// where they are, from the tangent now, by least squares with damping
// (Levenberg 1944, Quart. Appl. Math. 2; Marquardt 1963, J. SIAM 11): a trial
// step δ minimises
//
//	|e − Xδ|² + λ|Dδ|²
//
// with X and e of the tangent and D the largest norms that the columns of X had
// so far (Moré 1978, Lecture Notes in Mathematics 630), so that units do not
// matter. λ follows the share of the promised fall that came (Nielsen 1999,
// Damping parameter in Marquardt's method, from memory). Each step is bent with
// the curve by half its second-order term, and shortened where that is large
// (Transtrum & Sethna 2012, arXiv:1201.5885), which follows narrow curved
// valleys that straight steps cross.
//
// It ends when the relative offset is offsetSmall, or as small as rounding
// lets it be; settled is false if neither came about in the number of trials.
// The squared problem is never formed.
func (s *search) damp(now *tangent, trials int) (tried int, settled bool) {
	d := newDamping(s.p)
	for tried = range trials {
		s.beta = now.beta
		offset := now.offset()
		if offset < offsetHidden {
			more, offset := s.polish(now, d)
			return tried + more, offset < offsetGood
		}
		d.widen(now.norms)
		step, fall := now.step(d)
		bend, ok := s.bend(now, step, d)
		if !ok || 2*d.size(bend) > mostBend*d.size(step) {
			if !d.raise() {
				return tried, false
			}
			continue
		}
		next, ok := s.tangentAt(along(now.beta, step, bend))
		if !ok || !(next.sum < now.sum) {
			if !d.raise() {
				return tried, false
			}
			continue
		}
		d.follow((now.sum - next.sum) / fall)
		now = next
	}
	return tried, false
}

// polish makes further steps while they bring the offset down.
func (s *search) polish(now *tangent, d *damping) (tried int, offset float64) {
	failures := 0
	for offset = now.offset(); offset > offsetSmall && failures < mostFailures; tried++ {
		d.widen(now.norms)
		step, _ := now.step(d)
		next, ok := s.tangentAt(along(now.beta, step, nil))
		if !ok || !(next.offset() < offset) {
			failures++
			d.raise()
			continue
		}
		now, offset, failures = next, next.offset(), 0
		s.beta = now.beta
		d.lambda /= 10
	}
	return tried, offset
}

// along is beta + step + bend/2; bend may be nil.
func along(beta, step, bend []float64) []float64 {
	out := slices.Clone(beta)
	for j := range out {
		out[j] += step[j]
		if bend != nil {
			out[j] += bend[j] / 2
		}
	}
	return out
}

// damping is λ with what it multiplies.
type damping struct {
	lambda, growth float64
	scale          []float64
}

func newDamping(p int) *damping {
	return &damping{lambda: firstDamping, growth: 2, scale: make([]float64, p)}
}

func (d *damping) widen(norms []float64) {
	for j := range d.scale {
		d.scale[j] = max(d.scale[j], norms[j])
	}
}

// size is |Dv|.
func (d *damping) size(v []float64) (sum float64) {
	for j, x := range v {
		sum = math.Hypot(sum, d.scale[j]*x)
	}
	return sum
}

// raise damps more, faster each time; it is false past any use.
func (d *damping) raise() bool {
	d.lambda, d.growth = d.lambda*d.growth, 2*d.growth
	return d.lambda < mostDamping
}

// follow damps less after a good step, and more after a poor one; gain is the
// share of the promised fall that came.
func (d *damping) follow(gain float64) {
	d.lambda, d.growth = d.lambda*max(1.0/3, 1-math.Pow(2*gain-1, 3)), 2
}

// tangent is what a step needs to know of the curve at fixed effects beta: the
// triangular factor of √w·[X e], e = y − f.
type tangent struct {
	beta  []float64
	tri   []float64 // packed, order p+1
	norms []float64 // of the columns
	sum   float64   // Σ w e²
	rows  int       // of positive weight, priors apart
}

// tangentAt is false where the curve or a derivative is not finite, or without
// rows.
func (s *search) tangentAt(beta []float64) (*tangent, bool) {
	sums := NewSums(s.p, 0)
	x, z := make([]float64, s.p), make([]float64, s.q)
	for i := range s.rows.N {
		g := s.rows.Group(i)
		s.pool(sums, i, x, s.rows.Y(i)-s.f(i, beta, s.b[g], x, z))
		if sums.wrong != nil {
			return nil, false
		}
	}
	if sums.n == 0 {
		return nil, false
	}
	sums.settle()
	norms := columnNorms(square(sums.tri, s.p+1), s.p+1)
	return &tangent{beta: beta, tri: sums.tri, norms: norms, sum: norms[s.p] * norms[s.p], rows: sums.n}, true
}

// pool takes row i in, groups and random effects left aside.
func (s *search) pool(sums *Sums, i int, x []float64, y float64) {
	if i >= s.rows.N-s.rows.Priors {
		sums.AddPrior(0, x, y)
		return
	}
	sums.Add(0, x, nil, y, s.weight(i))
}

// offset is the relative offset of Bates & Watts (1981, Technometrics 23,
// 179-183): the length of that part of the residuals which lies along the
// tangent, by √p, in relation to the rest, by √(n−p). It is about the distance
// from the optimum in standard errors. Columns that follow from those before
// them have no direction of their own and do not count. NaN without rest.
func (t *tangent) offset() float64 {
	p, at, part := len(t.beta), 0, 0.0
	for i := range p {
		if math.Abs(t.tri[at]) > aliasTolerance*t.norms[i] {
			part = math.Hypot(part, t.tri[at+p-i])
		}
		at += p + 1 - i
	}
	rest := math.Abs(t.tri[at])
	return part / rest * math.Sqrt(float64(t.rows-p)/float64(p))
}

// step is the damped step, and the fall of the sum of squares that the tangent
// promises for it: |Xδ|² + 2λ|Dδ|².
func (t *tangent) step(d *damping) (step []float64, fall float64) {
	p, w := len(t.beta), len(t.beta)+1
	step = damped(slices.Clone(t.tri), d)
	tri := square(t.tri, w)
	for i := range p {
		fall += math.Pow(dot(tri[i*w:i*w+p], step), 2)
	}
	return step, fall + 2*d.lambda*math.Pow(d.size(step), 2)
}

// damped solves the damped problem of a packed triangle of [X e], which it
// uses up.
func damped(tri []float64, d *damping) []float64 {
	p, w := len(d.scale), len(d.scale)+1
	for j, scale := range d.scale {
		if scale == 0 {
			scale = 1 // a column without any effect stays where it is
		}
		row := make([]float64, w-j)
		row[0] = math.Sqrt(d.lambda) * scale
		absorb(tri[len(tri)-packedLen(w-j):], row)
	}
	r := square(tri, w)
	out := make([]float64, p)
	for i := range out {
		out[i] = r[i*w+p]
	}
	solveUpper(r, w, out)
	return out
}

// bend is the damped solution for minus the second derivative of the curve
// along the step, by differences.
func (s *search) bend(t *tangent, step []float64, d *damping) ([]float64, bool) {
	further := between(t.beta, along(t.beta, step, nil), ahead)
	sums := NewSums(s.p, 0)
	x, away, z := make([]float64, s.p), make([]float64, s.p), make([]float64, s.q)
	for i := range s.rows.N {
		b := s.b[s.rows.Group(i)]
		there := s.f(i, further, b, away, z)
		rise := (there - s.f(i, t.beta, b, x, z)) / ahead
		s.pool(sums, i, x, -2/ahead*(rise-dot(x, step)))
		if sums.wrong != nil {
			return nil, false
		}
	}
	sums.settle()
	return damped(sums.tri, d), true
}
