package quad

import "math"

// Propagate returns the standard error of f(at) where the arguments have
// independent errors with standard errors se, to first order:
//
//	se² = Σ (∂f/∂a_i · se_i)²
//
// The derivatives are central differences over a small part (1/1000) of each
// standard error. An argument with standard error 0 is exact. f must not keep
// the slice that it is given. It panics where the lengths differ.
func Propagate(f func([]float64) float64, at, se []float64) float64 {
	if len(at) != len(se) {
		panic("quad: at and se differ in length")
	}
	const part = 1e-3
	a := make([]float64, len(at))
	copy(a, at)
	var sum float64
	for i, s := range se {
		if s == 0 {
			continue
		}
		step := part * s
		a[i] = at[i] + step
		high := f(a)
		a[i] = at[i] - step
		low := f(a)
		a[i] = at[i]
		d := (high - low) / (2 * part) // change of f over one standard error
		sum += d * d
	}
	return math.Sqrt(sum)
}

// Combine returns the mean of two estimates of one quantity weighted by inverse
// variance, the weight of the first, and the standard error of the mean. An
// estimate with standard error 0 is exact and has all the weight.
func Combine(x1, se1, x2, se2 float64) (mean, weight1, se float64) {
	v1, v2 := se1*se1, se2*se2
	if v1 == 0 && v2 == 0 {
		return (x1 + x2) / 2, 0.5, 0
	}
	weight1 = v2 / (v1 + v2)
	return weight1*x1 + (1-weight1)*x2, weight1, math.Sqrt(v1 * weight1)
}
