package wander

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
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

// points spreads parameters over their posterior by importance sampling (Geweke
// 1989, Econometrica 57): quasi-random draws (Halton 1960) from a multivariate t
// about the mode, then from another with the mean and covariance of the first.
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
	root := p.curvature(mode, free)
	first, xs := p.sample(centre, root, free, mode, (p.opt.points()+1)/2)
	if len(first) == 0 {
		return nil
	}
	centre, root = moments(first, xs, centre, root)
	out, _ := p.sample(centre, root, free, mode, p.opt.points())
	return out
}

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
	return rootOf(hess, func(v float64) float64 { return 1 / math.Sqrt(min(max(v, 0.25), 2500)) })
}

// rootOf is V f(D) for the symmetric matrix V D V'.
func rootOf(s *mat.SymDense, f func(float64) float64) *mat.Dense {
	n := s.SymmetricDim()
	var e mat.EigenSym
	root := mat.NewDense(n, n, nil)
	if !e.Factorize(s, true) {
		for i := range n {
			root.Set(i, i, f(1))
		}
		return root
	}
	e.VectorsTo(root)
	for j, v := range e.Values(nil) {
		for i := range n {
			root.Set(i, j, root.At(i, j)*f(v))
		}
	}
	return root
}

const tails = 5.0 // degrees of freedom of the t

func (p *problem) sample(centre []float64, root *mat.Dense, free []int, mode spread, count int) ([]Point, [][]float64) {
	n := len(free)
	out, xs, logs := make([]Point, 0, count), make([][]float64, 0, count), make([]float64, 0, count)
	z, top := make([]float64, n), math.Inf(-1)
	for i := range count {
		norm := 0.0
		for k := range n {
			z[k] = distuv.UnitNormal.Quantile(halton(i+1, primes[k]))
			norm += z[k] * z[k]
		}
		stretch := math.Sqrt(tails / distuv.ChiSquared{K: tails}.Quantile(halton(i+1, primes[n])))
		x, v := mode, make([]float64, n)
		for j := range n {
			v[j] = centre[j]
			for k := range n {
				v[j] += stretch * root.At(j, k) * z[k]
			}
			x[free[j]] = v[j]
		}
		f, sol := p.posteriorAt(&x)
		if math.IsInf(f, 1) || math.IsNaN(f) {
			continue
		}
		log := -f + (tails+float64(n))/2*math.Log1p(norm*stretch*stretch/tails)
		out, xs, logs = append(out, p.pointAt(&x, sol)), append(xs, v), append(logs, log)
		top = max(top, log)
	}
	sum := 0.0
	for i := range out {
		out[i].Weight = math.Exp(logs[i] - top)
		sum += out[i].Weight
	}
	for i := range out {
		out[i].Weight /= sum
	}
	return out, xs
}

// moments are mean and a root of the covariance of weighted points, mixed with
// the former ones as if they were another tenth of the weight.
func moments(points []Point, xs [][]float64, centre []float64, root *mat.Dense) ([]float64, *mat.Dense) {
	n := len(centre)
	mean := make([]float64, n)
	for i, x := range xs {
		for j := range n {
			mean[j] += points[i].Weight * x[j]
		}
	}
	cov := mat.NewSymDense(n, nil)
	for j := range n {
		for k := j; k < n; k++ {
			v := 0.0
			for l := range n {
				v += 0.1 * root.At(j, l) * root.At(k, l)
			}
			for i, x := range xs {
				v += points[i].Weight * (x[j] - mean[j]) * (x[k] - mean[k])
			}
			cov.SetSym(j, k, v)
		}
	}
	return mean, rootOf(cov, func(v float64) float64 { return math.Sqrt(max(v, 1e-8)) })
}

var primes = [...]int{2, 3, 5, 7, 11, 13}

// halton is the radical inverse of i in a base, in (0,1) for i above 0.
func halton(i, base int) float64 {
	out, f := 0.0, 1.0
	for ; i > 0; i /= base {
		f /= float64(base)
		out += f * float64(i%base)
	}
	return out
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
