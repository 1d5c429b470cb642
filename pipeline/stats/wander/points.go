package wander

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"moldwright/pipeline/stats/importance"
)

// Point is one place of the posterior of the spreads. Weights of all points add
// to 1.
type Point struct {
	Noise       float64 // σ
	Diffusion   float64 // q
	LevelSD     float64
	DriftSD     float64
	Correlation float64
	Weight      float64

	shape shape
	sol   solution
	means [][3]float64 // covariance of mean level and drift, by design
	units []whitened   // what the readings of the fit's units say at σ = 1 and the point's ratio
}

// posterior is minus the logarithm of the posterior density of the spreads on
// the scale of their logarithms, the means integrated out.
func (p *problem) posterior(x *spread) float64 {
	f, _ := p.posteriorAt(x)
	return f
}

func (p *problem) posteriorAt(x *spread) (float64, solution) {
	s := x.shape()
	sol, ok := p.solve(&s, REML)
	if !ok {
		return math.Inf(1), sol
	}
	f := sol.criterion / 2
	for k, b := range p.priors {
		switch {
		case math.IsInf(x[k], -1):
		case b.SDLog > 0:
			z := (x[k] - math.Log(b.Median)) / b.SDLog
			f += z * z / 2
		default: // half-Cauchy on the standard deviation
			f += math.Log1p(math.Exp(2*x[k])) - x[k]
		}
	}
	if p.opt.Spreads == Correlated { // uniform on the correlation
		f += 2 * math.Log(math.Cosh(x[atCorrelation]))
	}
	return f, sol
}

// points spreads parameters over their posterior by importance sampling.
func (p *problem) points(near spread) []Point {
	free := p.free()
	for _, k := range free {
		near[k] = max(near[k], -3)
	}
	mode, _ := minimise(p.posterior, near, free, rough)
	centre := make([]float64, len(free))
	for i, k := range free {
		centre[i] = mode[k]
	}
	density := func(v []float64) (float64, Point) {
		x := mode
		for i, k := range free {
			x[k] = v[i]
		}
		f, sol := p.posteriorAt(&x)
		pt := p.pointAt(&x, sol)
		if pt.units = p.filtered(&pt.shape).units; p.opt.Course != Straight {
			pt.units = slices.Clone(pt.units) // of straight paths the ratio, and so the readings, stay
		}
		return -f, pt
	}
	places := importance.Spread(density, centre, p.curvature(mode, free), p.opt.points(), tails)
	out := make([]Point, 0, len(places))
	sum := 0.0
	for _, at := range places {
		if at.Weight < leastWeight {
			continue
		}
		pt := at.With
		pt.Weight = at.Weight
		sum += at.Weight
		for d := range p.designs {
			pt.means = append(pt.means, meanCov(pt.sol.info, &p.designs[d]))
		}
		out = append(out, pt)
	}
	for i := range out {
		out[i].Weight /= sum
	}
	return out
}

// leastWeight is that of a place that is kept: each costs every forecast.
const leastWeight = 5e-4

const tails = 5.0 // degrees of freedom of the t that points are drawn from

// curvature is a root of the inverse Hessian of the posterior at its mode; no
// direction is taken as narrower than 0.02 or wider than 2.
func (p *problem) curvature(mode spread, free []int) *mat.Dense {
	n := len(free)
	const h = 0.02
	at := func(i int, a float64, j int, b float64) float64 {
		x := mode
		x[free[i]] += a
		x[free[j]] += b
		return p.posterior(&x)
	}
	hess := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v := (at(i, h, j, h) - at(i, h, j, -h) - at(i, -h, j, h) + at(i, -h, j, -h)) / (4 * h * h)
			if math.IsNaN(v) || math.IsInf(v, 0) {
				v = 0
			}
			hess.SetSym(i, j, v)
		}
	}
	return importance.Root(hess, func(v float64) float64 { return 1 / math.Sqrt(min(max(v, 0.25), 2500)) })
}

func (p *problem) pointAt(x *spread, sol solution) Point {
	s := x.shape()
	size := p.sizes()
	sd := func(k int) float64 { return math.Exp(x[k]) * size[k] }
	return Point{
		Noise: sd(atNoise), Diffusion: sd(atWalk) * sd(atWalk), LevelSD: sd(atLevel), DriftSD: sd(atDrift),
		Correlation: math.Tanh(x[atCorrelation]), shape: s, sol: sol,
	}
}
