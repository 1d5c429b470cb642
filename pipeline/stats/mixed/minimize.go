package mixed

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// objective returns f(x), smooth, and writes its gradient. It may return +Inf
// where f is not defined.
type objective func(x, grad []float64) float64

// minimizer is a quasi-Newton search (BFGS, Nocedal & Wright 2006, chapter 6)
// that starts from a Hessian by differences of the gradient and ends with
// Newton steps. Coordinates should be of size near 1; there are few of them.
type minimizer struct {
	f       objective
	inverse []float64 // n×n, positive definite; nil to begin with the Hessian at the start
	fresh   bool      // inverse is that of the Hessian at the last x
	evals   int
	settled float64 // decrement below which the search ends
	grain   float64 // what rounding may do to f, besides a share of f itself
}

// run moves x to a minimum near it. It returns f there and the decrement
// g'H⁻¹g, about twice how far f is above the minimum.
func (s *minimizer) run(x []float64) (value, decrement float64) {
	n := len(x)
	g := make([]float64, n)
	f := s.at(x, g)
	if n == 0 || math.IsInf(f, 1) {
		return f, 0
	}
	if s.inverse == nil {
		s.inverse, s.fresh = invertHessian(s.hessian(x, g), n), true
	}
	d, xn, gn := make([]float64, n), make([]float64, n), make([]float64, n)
	last := math.Inf(1)
	for range 200 {
		decrement = s.direction(d, g)
		if decrement < s.settled || decrement < s.noise(f) && decrement > last/4 {
			break
		}
		last = decrement
		fn, moved := s.lineSearch(x, d, f, -decrement, xn, gn)
		if !moved {
			if s.fresh {
				break
			}
			s.inverse, s.fresh = invertHessian(s.hessian(x, g), n), true
			continue
		}
		s.update(x, xn, g, gn)
		copy(x, xn)
		copy(g, gn)
		f, s.fresh = fn, false
	}
	return f, decrement
}

// polish makes Newton steps, with the Hessian of the first, while they bring
// the gradient down, past the point where f itself can still tell a difference.
func (s *minimizer) polish(x []float64) (value, decrement float64) {
	n := len(x)
	g, gn, d, xn := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	f := s.at(x, g)
	if !s.fresh {
		s.inverse = invertHessian(s.hessian(x, g), n)
	}
	decrement = s.direction(d, g)
	for decrement > 1e-20 {
		for i := range x {
			xn[i] = x[i] + d[i]
		}
		fn := s.at(xn, gn)
		if !(fn <= f+s.noise(f)) {
			break
		}
		next := s.direction(d, gn)
		if !(next < decrement/4) {
			break
		}
		copy(x, xn)
		copy(g, gn)
		f, decrement = fn, next
	}
	return f, decrement
}

func (s *minimizer) at(x, g []float64) float64 {
	s.evals++
	return s.f(x, g)
}

// direction writes d = −H⁻¹g and returns g'H⁻¹g.
func (s *minimizer) direction(d, g []float64) float64 {
	n, sum := len(g), 0.0
	for i := range n {
		d[i] = -dot(s.inverse[i*n:(i+1)*n], g)
		sum -= d[i] * g[i]
	}
	return sum
}

// noise is what rounding may do to f.
func (s *minimizer) noise(f float64) float64 { return s.grain + 1e-14*(1+math.Abs(f)) }

// lineSearch looks along d for a point that is lower in proportion to the
// slope there (or, where rounding hides that, flatter), and goes further while
// f still falls steeply.
func (s *minimizer) lineSearch(x, d []float64, f, slope float64, xn, gn []float64) (float64, bool) {
	size, reach := norm(d), 4*(1+norm(x))
	t := 1.0
	if size > reach {
		t = reach / size
	}
	bestT, bestF := 0.0, f
	for range 40 {
		for i := range x {
			xn[i] = x[i] + t*d[i]
		}
		fn := s.at(xn, gn)
		after := dot(gn, d)
		low := fn <= f+1e-4*t*slope
		flat := fn <= f+s.noise(f) && math.Abs(after) <= 0.5*math.Abs(slope)
		switch {
		case (low || flat) && (bestT == 0 || fn < bestF):
			bestT, bestF = t, fn
			if after > 0.9*slope || flat && !low || t*size > 8*reach {
				return fn, true
			}
			t *= 2
		case bestT > 0: // went too far: back to the last good point
			for i := range x {
				xn[i] = x[i] + bestT*d[i]
			}
			return s.at(xn, gn), true
		default:
			fit := -slope * t * t / (2 * (fn - f - slope*t))
			if math.IsNaN(fit) {
				fit = 0
			}
			t = min(max(fit, 0.1*t), 0.5*t)
		}
	}
	return f, false
}

// update is the BFGS formula for the inverse; a step without positive
// curvature leaves it as it was.
func (s *minimizer) update(x, xn, g, gn []float64) {
	n := len(x)
	step, change, hy := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		step[i], change[i] = xn[i]-x[i], gn[i]-g[i]
	}
	sy := dot(step, change)
	if !(sy > 1e-12*norm(step)*norm(change)) {
		return
	}
	for i := range n {
		hy[i] = dot(s.inverse[i*n:(i+1)*n], change)
	}
	yhy := dot(change, hy)
	for i := range n {
		for j := range n {
			s.inverse[i*n+j] += (1+yhy/sy)*step[i]*step[j]/sy - (hy[i]*step[j]+step[i]*hy[j])/sy
		}
	}
}

// hessian is the Hessian at x, where the gradient is g, by differences of the
// gradient. They are one-sided: that is as good to 1e-4, which a search and
// Newton steps do not notice, at half the evaluations.
func (s *minimizer) hessian(x, g []float64) []float64 {
	n := len(x)
	h := make([]float64, n*n)
	y := append([]float64(nil), x...)
	near := make([]float64, n)
	for i := range n {
		step := 1e-4 * max(math.Abs(x[i]), 0.03)
		y[i] = x[i] + step
		s.at(y, near)
		y[i] = x[i]
		for j := range n {
			d := (near[j] - g[j]) / step
			h[i*n+j] += d / 2
			h[j*n+i] += d / 2
		}
	}
	return h
}

// invertHessian inverts a symmetric matrix made positive definite: eigenvalues
// count by their size, and none below 1e-9 of the largest.
func invertHessian(h []float64, n int) []float64 {
	inv := make([]float64, n*n)
	values, vectors, ok := eigen(h, n)
	top := 0.0
	for _, v := range values {
		top = max(top, math.Abs(v))
	}
	if !ok || !(top > 0) {
		for i := range n {
			inv[i*n+i] = 1
		}
		return inv
	}
	for k, v := range values {
		weight := 1 / max(math.Abs(v), 1e-9*top)
		for i := range n {
			for j := range n {
				inv[i*n+j] += weight * vectors[i*n+k] * vectors[j*n+k]
			}
		}
	}
	return inv
}

// eigen gives the eigenvalues of a symmetric n×n matrix in ascending order and
// its eigenvectors as columns; ok is false if the matrix is not finite.
func eigen(a []float64, n int) (values, vectors []float64, ok bool) {
	for _, v := range a[:n*n] {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, nil, false
		}
	}
	var e mat.EigenSym
	if !e.Factorize(mat.NewSymDense(n, append([]float64(nil), a[:n*n]...)), true) {
		return nil, nil, false
	}
	var v mat.Dense
	e.VectorsTo(&v)
	vectors = make([]float64, n*n)
	for i := range n {
		for j := range n {
			vectors[i*n+j] = v.At(i, j)
		}
	}
	return e.Values(nil), vectors, true
}
