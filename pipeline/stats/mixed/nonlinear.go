package mixed

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Curve is a nonlinear model: its value for row i at fixed effects beta and the
// row's group's effects b, with the derivatives of the value written to byBeta
// (length p) and byB (length q). A value or derivative that is not finite says
// that the curve is not defined there.
type Curve func(i int, beta, b, byBeta, byB []float64) float64

// Rows are the data of a nonlinear fit, row by row for i = 0..N−1.
type Rows struct {
	N      int
	Group  func(i int) int     // 0, 1, …
	Y      func(i int) float64 // response
	Weight func(i int) float64 // variance σ²/weight; nil for 1
	Priors int                 // so many last rows are beliefs about fixed effects, as of Sums.AddPrior, in a group of their own

	Settled float64 // relative change of effects below which the search may end; 0 for 1e-8

	// Where groups know few columns each, Patterns are those columns, as of
	// NewBlocks, and Pattern is that of a group. Rows then come group by group,
	// and a curve writes the derivatives by the columns of the pattern alone,
	// those of a belief by all.
	Patterns [][]int
	Pattern  func(group int) int
}

// Nonlinear is a fitted nonlinear mixed model. The embedded Model is that of
// the linearisation at the fitted effects: its Beta are the fixed effects, its
// modes the groups' effects, its deviance and covariances those of the linear
// model that stands for the curve there.
type Nonlinear struct {
	*Model
	Iterations int
}

// Errors of a nonlinear fit, beside those of Fit.
var (
	ErrUndefined  = errors.New("the curve is not defined at the starting values")
	ErrNotSettled = errors.New("the repeated linearisation did not settle")
)

const (
	mostLinearisations = 200
	mostHalvings       = 30
	settled            = 1e-8 // relative change of effects and deviance
	narrow             = 1e-4 // see penalty
)

// FitNonlinear fits y_i = f(i, β, b_g) + ε with b_g ~ N(0, G) by repeated
// linearisation (Lindstrom & Bates 1990, Biometrics 46, 673-687): around the
// present β and b the curve is replaced by its tangent, the linear mixed model
// for y − f + X̃β + Z̃b is fitted, and so on until nothing moves. Where a full
// step would raise the penalised sum of squares
//
//	Σ w (y − f)²/σ² + Σ b'G⁻¹b
//
// it is halved. start are the first fixed effects; the groups' effects start at
// zero. At the end β and b minimise the penalised sum of squares given the
// variances, and the variances are most likely given the tangent.
//
// With q = 0 it is nonlinear least squares: β goes down by damped steps (see
// damp) until the relative offset is 1e-10 or rounding stops it, and the
// Model is that of the tangent there. Iterations then counts trial steps. With
// random effects such a descent, all groups' effects zero, gives a second start
// where the linearisations from the first went astray.
//
// Errors are ErrUndefined, ErrNotSettled and those of Fit. An AliasedError may
// also say that the search went where a parameter no longer matters.
func FitNonlinear(rows Rows, q int, start []float64, f Curve, c Criterion) (*Nonlinear, error) {
	s := newSearch(rows, q, start, f)
	if _, ok := s.squares(s.beta, s.b); !ok {
		return nil, ErrUndefined
	}
	if q == 0 && rows.Patterns == nil {
		return s.leastSquares(c)
	}
	fitted, rounds, err := s.alternate(c, nil, true)
	if err == nil || rows.Patterns != nil || rounds == 1 && !errors.Is(err, ErrNotSettled) {
		return fitted, err // what is wrong at the start is wrong with the data
	}
	s = newSearch(rows, q, start, f)
	if now, ok := s.tangentAt(s.beta); ok && now.rows > s.p {
		s.damp(now, mostLinearisations)
	}
	if fitted, _, second := s.alternate(c, nil, true); second == nil {
		return fitted, nil
	}
	return nil, err
}

// FitNonlinearFrom is FitNonlinear from the effects and variances of a fit of
// nearly the same data, or of the same by the other criterion. It finds the
// optimum near those; if sure, it also looks for others at the end, as
// FitNonlinear does. Where it does not settle there it is FitNonlinear from the
// fixed effects of that fit.
func FitNonlinearFrom(rows Rows, like *Model, f Curve, c Criterion, sure bool) (*Nonlinear, error) {
	s := newSearch(rows, like.Q, like.Beta, f)
	for g := range s.b {
		s.b[g] = like.Mode(g)
	}
	if _, ok := s.squares(s.beta, s.b); ok && like.Q > 0 {
		if fitted, _, err := s.alternate(c, like, sure); err == nil {
			return fitted, nil
		}
	}
	return FitNonlinear(rows, like.Q, like.Beta, f, c)
}

// alternate linearises and steps until nothing moves; rounds counts the
// linearisations, the one that failed included. Each search for variances starts
// from those of the linearisation before, the first from those of like, which may
// be nil. If sure, the last word is that of a search which starts from nothing.
func (s *search) alternate(c Criterion, like *Model, sure bool) (fitted *Nonlinear, rounds int, err error) {
	last := math.Inf(1)
	for round := 1; round <= mostLinearisations; round++ {
		sums := s.tangentSums()
		model, err := sums.fit(c, like)
		if err != nil {
			return nil, round, fmt.Errorf("linearisation %d: %w", round, err)
		}
		moved, err := s.step(model)
		if err != nil {
			return nil, round, err
		}
		if moved < max(settled, s.rows.Settled) && math.Abs(model.Deviance-last) < settled*(1+math.Abs(last)) {
			if !sure {
				return &Nonlinear{Model: model, Iterations: round}, round, nil
			}
			sure = false
			if other, err := sums.fit(c, nil); err == nil {
				if !(other.Deviance < model.Deviance-settled*(1+math.Abs(last))) {
					return &Nonlinear{Model: model, Iterations: round}, round, nil
				}
				model = other
			}
		}
		last, like = model.Deviance, model
	}
	return nil, mostLinearisations, ErrNotSettled
}

// leastSquares is the fit without random effects. What the tangent's fit has to
// say about the data comes before ErrNotSettled.
func (s *search) leastSquares(c Criterion) (*Nonlinear, error) {
	tried, done := 0, false
	if now, ok := s.tangentAt(s.beta); ok && now.rows > s.p && s.p > 0 {
		tried, done = s.damp(now, mostTrials)
	}
	model, err := Fit(s.linearise(), c)
	if err != nil {
		return nil, fmt.Errorf("after %d trial steps: %w", tried, err)
	}
	if !done {
		return nil, fmt.Errorf("%w in %d trial steps", ErrNotSettled, tried)
	}
	return &Nonlinear{Model: model, Iterations: tried}, nil
}

// search is the state of a fit: the present fixed effects and those of groups.
type search struct {
	rows Rows
	f    Curve
	p, q int
	beta []float64
	b    [][]float64

	sum float64 // of squares at beta and b, where known
}

func newSearch(rows Rows, q int, start []float64, f Curve) *search {
	s := &search{rows: rows, f: f, p: len(start), q: q, beta: slices.Clone(start)}
	for i := range rows.N {
		for len(s.b) <= rows.Group(i) {
			s.b = append(s.b, make([]float64, q))
		}
	}
	return s
}

func (s *search) weight(i int) float64 {
	if s.rows.Weight == nil {
		return 1
	}
	return s.rows.Weight(i)
}

// sums of either kind.
type sums interface {
	fit(c Criterion, like *Model) (*Model, error)
}

func (s *Sums) fit(c Criterion, like *Model) (*Model, error)   { return FitFrom(s, c, like) }
func (b *Blocks) fit(c Criterion, like *Model) (*Model, error) { return FitBlocks(b, c, like) }

func (s *search) tangentSums() sums {
	if s.rows.Patterns != nil {
		return s.lineariseLean()
	}
	return s.linearise()
}

// lineariseLean is linearise for groups that know few columns.
func (s *search) lineariseLean() *Blocks {
	blocks := NewBlocks(s.p, s.q, s.rows.Patterns)
	x, z := make([]float64, s.p), make([]float64, s.q)
	var block Block
	group := -1
	next := func(g int) {
		for ; group < g; group++ {
			if group >= 0 {
				blocks.Append(s.rows.Pattern(group), &block)
			}
			if group+1 < g { // one without rows
				block.Begin(len(s.rows.Patterns[s.rows.Pattern(group+1)]), s.q)
			}
		}
	}
	data := s.rows.N - s.rows.Priors
	for i := range data {
		g := s.rows.Group(i)
		columns := s.rows.Patterns[s.rows.Pattern(g)]
		if g != group {
			next(g)
			block.Begin(len(columns), s.q)
		}
		y := s.rows.Y(i) - s.f(i, s.beta, s.b[g], x[:len(columns)], z) + dot(z, s.b[g])
		for j, c := range columns {
			y += x[j] * s.beta[c]
		}
		block.Add(x[:len(columns)], z, y, s.weight(i))
	}
	next(group + 1)
	for i := data; i < s.rows.N; i++ {
		y := s.rows.Y(i) - s.f(i, s.beta, nil, x, z)
		blocks.Prior(x, y+dot(x, s.beta))
	}
	return blocks
}

// linearise sums up the linear mixed model of the tangent.
func (s *search) linearise() *Sums {
	sums := NewSums(s.p, s.q)
	x, z := make([]float64, s.p), make([]float64, s.q)
	for i := range s.rows.N {
		g := s.rows.Group(i)
		value := s.f(i, s.beta, s.b[g], x, z)
		if i >= s.rows.N-s.rows.Priors {
			sums.AddPrior(g, x, s.rows.Y(i)-value+dot(x, s.beta))
			continue
		}
		sums.Add(g, x, z, s.rows.Y(i)-value+dot(x, s.beta)+dot(z, s.b[g]), s.weight(i))
	}
	return sums
}

// squares is the weighted sum of squared residuals; ok is false where the curve
// is not defined.
func (s *search) squares(beta []float64, b [][]float64) (sum float64, ok bool) {
	x, z := make([]float64, s.p), make([]float64, s.q)
	for i := range s.rows.N {
		g := s.rows.Group(i)
		part := x
		if s.rows.Patterns != nil && i < s.rows.N-s.rows.Priors {
			part = x[:len(s.rows.Patterns[s.rows.Pattern(g)])]
		}
		e := s.rows.Y(i) - s.f(i, beta, b[g], part, z)
		sum += s.weight(i) * e * e
	}
	return sum, !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// step goes from the present effects towards the model's, as far as the
// penalised sum of squares does not rise, and tells how far in relation to
// their size.
func (s *search) step(m *Model) (moved float64, err error) {
	penalty := newPenalty(m)
	now := s.sum
	if now == 0 {
		now, _ = s.squares(s.beta, s.b)
	}
	now = now/(m.Sigma*m.Sigma) + penalty.of(s.b)
	target := make([][]float64, len(s.b))
	for g := range target {
		target[g] = m.Mode(g)
	}
	for share, tries := 1.0, 0; tries < mostHalvings; share, tries = share/2, tries+1 {
		beta, b := between(s.beta, m.Beta, share), make([][]float64, len(s.b))
		for g := range b {
			b[g] = between(s.b[g], target[g], share)
		}
		sum, ok := s.squares(beta, b)
		next := sum/(m.Sigma*m.Sigma) + penalty.of(b)
		if ok && next <= now+1e-9*(1+math.Abs(now)) {
			moved = distance(s.beta, beta)
			for g := range b {
				moved = max(moved, distance(s.b[g], b[g]))
			}
			s.beta, s.b, s.sum = beta, b, sum
			return moved, nil
		}
	}
	return 0, ErrNotSettled
}

func between(from, to []float64, share float64) []float64 {
	out := make([]float64, len(from))
	for i := range out {
		out[i] = from[i] + share*(to[i]-from[i])
	}
	return out
}

// distance is the largest change in relation to the size of the vector.
func distance(a, b []float64) float64 {
	size, change := 1e-8, 0.0
	for i := range a {
		size = max(size, math.Abs(a[i]), math.Abs(b[i]))
		change = max(change, math.Abs(a[i]-b[i]))
	}
	return change / size
}

// penalty is b'G⁻¹b. Where G is singular, a little variance (narrow squared, by
// that of the effect) is lent across its range, so that effects which lie off
// the range of a newly fitted G count as far from it and the step towards it is
// taken. Effects without any variance are zero in every mode and add nothing.
type penalty struct {
	factor [][]float64 // lower triangular, G = factor·factor'
}

func newPenalty(m *Model) penalty {
	g := m.G()
	n := len(g)
	l := make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, n)
		for j := range i + 1 {
			v := g[i][j]
			for k := range j {
				v -= l[i][k] * l[j][k]
			}
			switch {
			case i == j:
				l[i][i] = max(math.Sqrt(max(0, v)), narrow*math.Sqrt(g[i][i]))
			case l[j][j] > 0:
				l[i][j] = v / l[j][j]
			}
		}
	}
	return penalty{l}
}

func (p penalty) of(b [][]float64) (sum float64) {
	n := len(p.factor)
	u := make([]float64, n)
	for _, effects := range b {
		for i := range n {
			v := effects[i]
			for k := range i {
				v -= p.factor[i][k] * u[k]
			}
			u[i] = 0
			if p.factor[i][i] > 0 {
				u[i] = v / p.factor[i][i]
			}
			sum += u[i] * u[i]
		}
	}
	return sum
}
