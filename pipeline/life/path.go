package life

import (
	"math"

	"moldwright/pipeline/wall"
)

// states of the filter: a mold's level, its wear, and what wandering took of its
// margin beside its steady wear.
const states = 3

// readings is a mold's path as a state-space model (a Wiener degradation process
// with a mold's own level and drift, seen through noise): at its i-th cast,
//
//	y = z'b + gain·ω(age) + ε,  b ~ N(0, G + Doubt),  ε ~ N(0, v)
//	ω(0) = 0,  ω(n+1) = ω(n) + N(0, q)
//
// ω is in the units of margin (see wall.Course). With q = 0 the path is straight.
type readings struct {
	of    wall.Approach
	prior belief
	kind  string
	rate  float64 // loss of margin per cast that the other molds tell
	fit   float64 // likewise by all molds
	sign  float64 // of the change of that rate by the mold's own wear
	age   []float64
	y, v  []float64
	h     [][states]float64
	now   float64 // casts made so far
}

// belief is a normal law of a mold's level and wear before its casts are seen.
type belief struct {
	mean [2]float64
	cov  [2][2]float64
}

func readingsOf(a wall.Approach, kind string, age int) readings {
	r := readings{of: a, kind: kind, now: float64(age)}
	for i := range 2 {
		for k := range 2 {
			r.prior.cov[i][k] = a.G[i][k] + a.Doubt[i][k]
		}
	}
	_, r.rate = a.Course([]float64{0, 0}).Margin(1, 1)
	_, more := a.Course([]float64{0, 1}).Margin(1, 1)
	r.sign = more - r.rate
	r.fit = a.Rate
	for _, c := range a.Casts {
		r.age = append(r.age, float64(c.Age))
		r.y = append(r.y, c.Y)
		r.v = append(r.v, c.Variance/math.Max(c.Trust, leastTrust))
		r.h = append(r.h, [states]float64{c.Z[0], c.Z[1], c.Gain()})
	}
	return r
}

// leastTrust bounds the weight of a mistyped wall.
const leastTrust = 1e-4

// filtered is what is known of a mold's level, wear and wandering today.
type filtered struct {
	mean   [states]float64
	cov    [states][states]float64
	logLik float64
}

// filter is the Kalman filter (Kalman 1960; Durbin & Koopman 2012, ch. 4, from
// memory) with walks of variance q per cast, up to today's age.
func (r *readings) filter(q float64, prior belief) filtered {
	var f filtered
	for i := range 2 {
		f.mean[i] = prior.mean[i]
		for k := range 2 {
			f.cov[i][k] = prior.cov[i][k]
		}
	}
	last := 0.0
	for i, age := range r.age {
		f.cov[2][2] += q * (age - last)
		last = age
		h := &r.h[i]
		var ph [states]float64
		s, e := r.v[i], r.y[i]
		for a := range states {
			for b := range states {
				ph[a] += f.cov[a][b] * h[b]
			}
		}
		for a := range states {
			s += h[a] * ph[a]
			e -= h[a] * f.mean[a]
		}
		f.logLik -= 0.5 * (math.Log(2*math.Pi*s) + e*e/s)
		for a := range states {
			f.mean[a] += ph[a] * e / s
			for b := range states {
				f.cov[a][b] -= ph[a] * ph[b] / s
			}
		}
	}
	f.cov[2][2] += q * max(0, r.now-last)
	return f
}

// root is a lower triangular square root of the covariance.
func (f *filtered) root() [states][states]float64 {
	var l [states][states]float64
	for i := range states {
		for j := 0; j <= i; j++ {
			s := f.cov[i][j]
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			switch {
			case i == j:
				l[i][i] = math.Sqrt(max(0, s))
			case l[j][j] > 0:
				l[i][j] = s / l[j][j]
			}
		}
	}
	return l
}

// walks says how the paths of a studio's molds go on: with q = 0 straight.
type walks struct {
	q     float64 // variance per cast, in units of margin
	gain  float64 // AICc of the straight paths less that of the wandering ones
	casts int
}

// wandering estimates by maximum likelihood how much paths wander, all molds of
// a studio alike.
func wandering(all []*readings) walks {
	logLik := func(q float64) float64 {
		sum := 0.0
		for _, r := range all {
			f := r.filter(q, r.prior)
			sum += f.logLik
		}
		return sum
	}
	out := walks{}
	scale := 0.0 // of wear per cast
	for _, r := range all {
		out.casts += len(r.age)
		scale = max(scale, math.Abs(r.rate))
	}
	if out.casts < leastForWalks || scale == 0 {
		return out
	}
	straight := logLik(0)
	best, at := straight, 0.0
	for k := range walkSteps {
		q := scale * scale * math.Exp(walkLow+(walkHigh-walkLow)*float64(k)/(walkSteps-1))
		if l := logLik(q); l > best {
			best, at = l, q
		}
	}
	out.q = at
	n := float64(out.casts)
	const k = 4 // spread of level and wear, noise, wandering
	penalty := func(k float64) float64 { return 2 * k * n / (n - k - 1) }
	out.gain = 2*(best-straight) - (penalty(k) - penalty(k-1))
	return out
}

// The variance of a walk is looked for from e^−8 to e^3 times the square of the
// largest kind's wear per cast.
const (
	walkLow       = -8.0
	walkHigh      = 3.0
	walkSteps     = 23
	leastForWalks = 30
)

// way is what is known of a mold's path if it wears in one of the ways that its
// kind may, and the chance that it does.
type way struct {
	mean   [states]float64
	root   [states][states]float64
	chance float64
}

// waysOf filters the mold's casts under each of the beliefs.
func (r *readings) waysOf(q float64, beliefs []belief, chances []float64) []way {
	ways := make([]way, len(beliefs))
	best := math.Inf(-1)
	logs := make([]float64, len(beliefs))
	for i, b := range beliefs {
		f := r.filter(q, b)
		ways[i].mean, ways[i].root = f.mean, f.root()
		logs[i] = f.logLik + math.Log(chances[i])
		best = math.Max(best, logs[i])
	}
	sum := 0.0
	for i := range ways {
		ways[i].chance = math.Exp(logs[i] - best)
		sum += ways[i].chance
	}
	for i := range ways {
		ways[i].chance /= sum
	}
	return ways
}

// seenWear is what the mold's casts alone say of its wear, as a factor on its
// kind's: its posterior under a wide belief, the belief taken out again.
func (r *readings) seenWear(q float64) seenWear {
	out := seenWear{kind: r.kind}
	if !(r.fit > 0) || len(r.age) < 2 {
		return out
	}
	const wide = 3.0
	b := r.beliefOf(1, wide*wide)
	f := r.filter(q, b)
	v := f.cov[1][1] / (r.fit * r.fit)
	info := 1/v - 1/(wide*wide)
	if info <= 1e-3 {
		return out
	}
	at := (r.rate + r.sign*f.mean[1]) / r.fit
	out.v = 1 / info
	out.f = (at/v - 1/(wide*wide)) / info
	out.informed = true
	return out
}

// beliefOf is that the mold's wear is a factor on its kind's.
func (r *readings) beliefOf(factor, variance float64) belief {
	b := r.prior
	b.mean[1] = r.sign * (factor*r.fit - r.rate)
	b.cov[1][1] = variance * r.fit * r.fit
	b.cov[0][1], b.cov[1][0] = 0, 0
	return b
}

// beliefs are the ways in which the molds of its kind wear, with their chances.
func (r *readings) beliefs(w wear) ([]belief, []float64) {
	if !(r.fit > 0) {
		return []belief{r.prior}, []float64{1}
	}
	m, doubt := w.middle[r.kind], w.doubt[r.kind]
	return []belief{
		r.beliefOf(m, w.spread*w.spread+doubt),
		r.beliefOf(fastMiddle*m, fastSpread*fastSpread+fastMiddle*fastMiddle*doubt),
	}, []float64{1 - w.fast, w.fast}
}
