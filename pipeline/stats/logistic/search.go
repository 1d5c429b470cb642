package logistic

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// maximum is the best of searches from several spreads.
func (p *problem) maximum(peaks []peak) ([]float64, float64) {
	var best []float64
	value := math.Inf(1)
	begin := make([]float64, p.columns+1)
	for j, b := range p.fixed {
		if b.SD > 0 {
			begin[j] = b.Mean
		}
	}
	begin = p.newton(begin, p.columns, peaks) // without spread
	for _, s := range []float64{0.3, 1.5} {
		v := slices.Clone(begin)
		v[p.columns] = s
		v, f := p.search(v, peaks)
		if f < value-1e-9 {
			best, value = v, f
		}
	}
	best = p.newton(best, p.columns+1, peaks)
	value = p.target(best, nil, peaks)
	at := best[p.columns]
	best[p.columns] = math.Abs(at)
	if best[p.columns] < 1e-3 { // the likelihood is flat there: is 0 as good?
		zero := slices.Clone(best)
		zero[p.columns] = 0
		zero = p.newton(zero, p.columns, peaks)
		if f := p.target(zero, nil, peaks); f <= value+1e-9 {
			best, value = zero, f
		}
	}
	return best, value
}

// search is BFGS.
func (p *problem) search(v []float64, peaks []peak) ([]float64, float64) {
	last, slope, value := []float64(nil), make([]float64, len(v)), 0.0
	at := func(x []float64) { // value and gradient are asked for one after the other
		if !slices.Equal(x, last) {
			value = p.target(x, slope, peaks)
			last = slices.Clone(x)
		}
	}
	task := optimize.Problem{
		Func: func(x []float64) float64 { at(x); return value },
		Grad: func(g, x []float64) { at(x); copy(g, slope) },
	}
	result, _ := optimize.Minimize(task, v, &optimize.Settings{
		GradientThreshold: 1e-6,
		Converger:         &optimize.FunctionConverge{Absolute: 1e-6, Iterations: 3},
		MajorIterations:   300,
	}, &optimize.BFGS{})
	if result != nil && !slices.ContainsFunc(result.X, math.IsNaN) {
		v = slices.Clone(result.X)
	}
	return v, p.target(v, nil, peaks)
}

// newton moves the first n places of v to a stationary point near it, while the
// target falls.
func (p *problem) newton(v []float64, n int, peaks []peak) []float64 {
	v = slices.Clone(v)
	g := make([]float64, len(v))
	f := p.target(v, g, peaks)
	for range 30 {
		step, ok := solve(p.hessian(v, n, peaks), g[:n])
		if !ok {
			return v
		}
		size := 0.0
		for _, d := range step {
			size = max(size, math.Abs(d))
		}
		scale := min(1, 3/size)
		moved := false
		for range 20 {
			w := slices.Clone(v)
			for j := range n {
				w[j] -= scale * step[j]
			}
			if h := p.target(w, g, peaks); h <= f+1e-12*(1+math.Abs(f)) {
				v, f, moved = w, h, true
				break
			}
			scale /= 2
		}
		if !moved || size < 1e-9 {
			return v
		}
	}
	return v
}

// hessian is that of the target in the first n places, by central differences of
// the gradient.
func (p *problem) hessian(v []float64, n int, peaks []peak) *mat.SymDense {
	h := mat.NewSymDense(n, nil)
	up, down := make([]float64, len(v)), make([]float64, len(v))
	rows := make([][]float64, n)
	for i := range n {
		const step = 1e-4
		w := slices.Clone(v)
		w[i] += step
		p.target(w, up, peaks)
		w[i] = v[i] - step
		p.target(w, down, peaks)
		rows[i] = make([]float64, n)
		for j := range n {
			rows[i][j] = (up[j] - down[j]) / (2 * step)
		}
	}
	for i := range n {
		for j := i; j < n; j++ {
			h.SetSym(i, j, (rows[i][j]+rows[j][i])/2)
		}
	}
	return h
}

// solve is H⁻¹g for a positive definite H; where it is not, for H made so by
// adding to its diagonal.
func solve(h *mat.SymDense, g []float64) ([]float64, bool) {
	n := h.SymmetricDim()
	if n == 0 {
		return nil, true
	}
	top := 0.0
	for i := range n {
		top = max(top, math.Abs(h.At(i, i)))
	}
	for _, ridge := range []float64{0, 1e-6, 1e-3, 1e-1, 10} {
		a := mat.NewSymDense(n, nil)
		a.CopySym(h)
		for i := range n {
			a.SetSym(i, i, a.At(i, i)+ridge*(top+1e-8))
		}
		var chol mat.Cholesky
		out := mat.NewVecDense(n, nil)
		if chol.Factorize(a) && chol.SolveVecTo(out, mat.NewVecDense(n, slices.Clone(g))) == nil {
			return out.RawVector().Data, true
		}
	}
	return nil, false
}
