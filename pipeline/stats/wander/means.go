package wander

import "math"

// factor is the lower triangular root L of a symmetric matrix LL', by rows: a fit
// solves a few hundred of them, of one row for each coefficient of the means.
type factor struct {
	n int
	l []float64
}

// least is the share of a diagonal element below which what the others leave of it
// is rounding: the coefficients are then not settled.
const leastPivot = 1e-13

// factored replaces a symmetric matrix, its lower triangle by rows, by its root;
// false where it is not positive definite.
func factored(a []float64, n int) (factor, bool) {
	for i := range n {
		row := a[i*n : i*n+i+1]
		for j := range i {
			other := a[j*n : j*n+j+1]
			s := row[j]
			for k, x := range other[:j] {
				s -= row[k] * x
			}
			row[j] = s / other[j]
		}
		s := row[i]
		for _, x := range row[:i] {
			s -= x * x
		}
		if !(s > leastPivot*row[i]) || math.IsInf(s, 1) {
			return factor{}, false
		}
		row[i] = math.Sqrt(s)
	}
	return factor{n, a}, true
}

// half replaces b by L⁻¹b.
func (f factor) half(b []float64) {
	for i := range f.n {
		row := f.l[i*f.n : i*f.n+i+1]
		for k, x := range row[:i] {
			b[i] -= x * b[k]
		}
		b[i] /= row[i]
	}
}

// solve replaces b by A⁻¹b.
func (f factor) solve(b []float64) {
	f.half(b)
	for i := f.n - 1; i >= 0; i-- {
		b[i] /= f.l[i*f.n+i]
		for k := range i {
			b[k] -= f.l[i*f.n+k] * b[i]
		}
	}
}

// logDet is log|A|.
func (f factor) logDet() float64 {
	sum := 0.0
	for i := range f.n {
		sum += math.Log(f.l[i*f.n+i])
	}
	return 2 * sum
}

// inverseAt is element (i, j) of A⁻¹.
func (f factor) inverseAt(i, j int) float64 {
	e := make([]float64, f.n)
	e[j] = 1
	f.solve(e)
	return e[i]
}

// meanCov is the covariance of the mean level and drift of a row of the designs:
// variance, covariance, variance.
func meanCov(info factor, d *design) [3]float64 {
	if info.n == 0 {
		return [3]float64{}
	}
	both := make([]float64, 2*info.n)
	level, drift := both[:info.n], both[info.n:]
	copy(level, d.level)
	copy(drift[len(d.level):], d.drift)
	info.half(level)
	info.half(drift)
	var out [3]float64
	for i, x := range level {
		out[0] += x * x
		out[1] += x * drift[i]
		out[2] += drift[i] * drift[i]
	}
	return out
}
