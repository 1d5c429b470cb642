package wander

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/optimize"
)

// Places of the spreads in a vector: logarithms of σ, √q, s_a, s_b in natural
// units (−Inf for 0) and Fisher's z of the correlation.
const (
	atNoise = iota
	atWalk
	atLevel
	atDrift
	atCorrelation
	spreads
)

type spread [spreads]float64

// lowest bounds logarithms in the search: e⁻¹² of the scatter of the readings.
const (
	lowest  = -12.0
	steepZ  = 6.0 // bound on Fisher's z: a correlation of 0.99999
	settled = 1e-7
)

func (x *spread) shape() shape {
	sd := func(k int) float64 { return math.Exp(min(x[k], 30)) }
	a, b, r := sd(atLevel), sd(atDrift), math.Tanh(x[atCorrelation])
	return shape{
		noise: sd(atNoise) * sd(atNoise),
		walk:  sd(atWalk) * sd(atWalk),
		g:     [3]float64{a * a, r * a * b, b * b},
	}
}

// free are the places of what is estimated.
func (p *problem) free() []int {
	free := []int{atNoise}
	if p.opt.Course == Wandering {
		free = append(free, atWalk)
	}
	free = append(free, atLevel, atDrift)
	if p.opt.Spreads == Correlated {
		free = append(free, atCorrelation)
	}
	return free
}

// start is a point with nothing in it.
func start() spread {
	return spread{atNoise: 0, atWalk: math.Inf(-1), atLevel: math.Inf(-1), atDrift: math.Inf(-1)}
}

// target is half the criterion less the logarithm of beliefs.
func (p *problem) target(x *spread) float64 {
	s := x.shape()
	sol, ok := p.solve(&s, p.opt.Criterion)
	if !ok {
		return math.Inf(1)
	}
	f := (sol.criterion + sol.penalty) / 2
	for k, b := range p.priors {
		if b.SDLog > 0 && !(k == atWalk && p.opt.Course == Straight) {
			z := (x[k] - math.Log(b.Median)) / b.SDLog
			f += z * z / 2
		}
	}
	return f
}

// care is how far a search goes.
type care struct {
	enough  float64 // fall of f in a few steps that ends it
	steps   int
	h       float64 // of the differences that slopes are told by
	central bool    // whether they are on both sides
}

var (
	rough = care{enough: 1e-3, steps: 40, h: 1e-5}
	fine  = care{enough: 1e-9, steps: 200, h: 1e-4, central: true}
)

// minimise moves x along the free places to a minimum of f near it: by BFGS with
// differences, and by Nelder and Mead's simplex where that got stuck. It looks for
// wandering by its ratio to noise, since steps that leave it need no pass over the
// readings.
func minimise(f func(*spread) float64, x spread, free []int, c care) (spread, float64) {
	if len(free) == 0 {
		return x, f(&x)
	}
	noise := slices.Index(free, atNoise)
	bounded := func(v []float64) (spread, float64) {
		y, beyond := x, 0.0
		for i, k := range free {
			at := v[i]
			if k == atWalk && noise >= 0 {
				at += v[noise]
			}
			y[k] = min(max(at, lowest), -lowest)
			if k == atCorrelation {
				y[k] = min(max(at, -steepZ), steepZ)
			}
			beyond += (at - y[k]) * (at - y[k])
		}
		return y, beyond
	}
	value := func(v []float64) float64 {
		y, beyond := bounded(v)
		if g := f(&y); !math.IsInf(g, 1) && !math.IsNaN(g) {
			return g + beyond
		}
		return undefined
	}
	at := make([]float64, len(free))
	for i, k := range free {
		at[i] = max(x[k], lowest+1)
		if k == atWalk && noise >= 0 {
			at[i] -= max(x[atNoise], lowest+1)
		}
	}
	if best, stuck := descend(value, at, c); stuck && c.enough < rough.enough {
		if fell := simplex(value, at, best); fell > c.enough {
			descend(value, at, c)
		}
	}
	y, _ := bounded(at)
	return y, f(&y)
}

// simplex moves at to a lower value by Nelder and Mead's method, and says by how much.
func simplex(value func([]float64) float64, at []float64, best float64) float64 {
	result, err := optimize.Minimize(optimize.Problem{Func: value}, at, &optimize.Settings{
		Converger: &optimize.FunctionConverge{Absolute: fine.enough, Iterations: 20}, MajorIterations: 150,
	}, &optimize.NelderMead{SimplexSize: 0.1})
	if err != nil || result == nil || result.F > best || slices.ContainsFunc(result.X, math.IsNaN) {
		return 0
	}
	copy(at, result.X)
	return best - result.F
}

// undefined stands for +Inf, which searches do not take.
const undefined = 1e12

// shares of the readings' variance with which a search may begin: noise,
// wandering, level, drift.
var shares = [][4]float64{
	{0.25, 0.25, 0.25, 0.25},
	{0.7, 0.1, 0.1, 0.1},
	{0.1, 0.7, 0.1, 0.1},
	{0.05, 0.05, 0.85, 0.05},
	{0.05, 0.05, 0.05, 0.85},
	{0.02, 0.08, 0.45, 0.45},
	{0.08, 0.02, 0.45, 0.45},
	{0.001, 0.01, 0.1, 0.889},
	{0.01, 0.001, 0.1, 0.889},
	{0.0001, 0.0009, 0.001, 0.998},
}

// enoughReadings are as many as tell near which place the best spreads are: of more,
// some units are looked at first.
const enoughReadings = 1500

// part is the problem with some of its units, evenly taken; itself where it is small.
func (p *problem) part() *problem {
	every := p.readings / enoughReadings
	if every < 2 || len(p.units) < 2*every {
		return p
	}
	q := *p
	q.units, q.readings, q.sums, q.last = nil, 0, nil, filters{}
	for i := 0; i < len(p.units); i += every {
		q.units = append(q.units, p.units[i])
		q.readings += len(p.units[i].age)
	}
	return &q
}

// estimate is the best of searches from several places, with spreads at 0 where
// that is no worse.
func (p *problem) estimate() (spread, float64) {
	free := p.free()
	some := p.part()
	x, f := some.nearest(free)
	if some != p {
		if math.IsInf(f, 1) { // some coefficient is settled by all units only
			x, _ = p.nearest(free)
		}
		x, _ = minimise(p.target, x, free, rough)
	}
	x, f = minimise(p.target, x, free, fine)
	return p.settle(x, f, free)
}

// nearest is the best of rough searches from several places.
func (p *problem) nearest(free []int) (spread, float64) {
	type candidate struct {
		x spread
		f float64
	}
	var begin []candidate
	for _, s := range shares {
		x := start()
		for _, k := range free {
			if k < len(s) {
				x[k] = math.Log(s[k]) / 2
			}
			if k == atDrift {
				x[k] += math.Log(2)
			}
		}
		begin = append(begin, candidate{x, p.target(&x)})
	}
	slices.SortStableFunc(begin, func(a, b candidate) int {
		switch {
		case a.f < b.f:
			return -1
		case a.f > b.f:
			return 1
		}
		return 0
	})
	best := candidate{f: math.Inf(1)}
	for _, b := range begin[:2] {
		x, f := minimise(p.target, b.x, free, rough)
		if f < best.f {
			best = candidate{x, f}
		}
	}
	return best.x, best.f
}

// settle puts spreads to 0 one after the other where the criterion allows it. A
// spread with a belief is never 0.
func (p *problem) settle(x spread, f float64, free []int) (spread, float64) {
	for _, k := range []int{atWalk, atDrift, atLevel, atNoise} {
		if !slices.Contains(free, k) || p.priors[k].SDLog > 0 {
			continue
		}
		y := x
		y[k] = math.Inf(-1)
		rest := slices.DeleteFunc(slices.Clone(free), func(j int) bool {
			return j == k || j == atCorrelation && (k == atLevel || k == atDrift) || math.IsInf(y[j], -1)
		})
		if k == atLevel || k == atDrift {
			y[atCorrelation] = 0
		}
		if g := p.target(&y); g > f+2 || math.IsInf(g, 1) {
			continue // far from it
		}
		if y, g := minimise(p.target, y, rest, fine); g <= f+settled {
			x, f, free = y, g, rest
		}
	}
	return x, f
}
