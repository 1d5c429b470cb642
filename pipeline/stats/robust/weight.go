package robust

import "math"

// Weight is a weight in [0, 1] for a residual z ≥ 0 scales from the fit: 1 at
// z = 0 and nowhere rising.
type Weight func(z float64) float64

// HuberK gives the mean of normal data with 95 % of the efficiency of the
// ordinary one (Huber 1964, Ann. Math. Stat. 35).
const HuberK = 1.345

// ClippedC clips a normal residual once in 370.
const ClippedC = 3.0

// Huber is 1 up to k > 0 and k/z beyond: a row's pull on the fit stops growing
// at k scales.
func Huber(k float64) Weight {
	return func(z float64) float64 {
		if z <= k {
			return 1
		}
		return k / z
	}
}

// Clipped is 1 up to c > 0 and (c/z)⁴ beyond: a row's pull falls as the third
// power of its distance and its share of the residual variance as the second,
// so that a number typed ten times too large adds next to nothing to either.
func Clipped(c float64) Weight {
	return func(z float64) float64 {
		if z <= c {
			return 1
		}
		return math.Pow(c/z, 4)
	}
}

// normalMAD is the standard deviation of a normal by its median absolute
// deviation, 1/Φ⁻¹(3/4).
const normalMAD = 1.4826022185056018

// MAD is the median absolute residual (about 0, not about the median), scaled to
// be the standard deviation where residuals are normal. It stands as long as
// fewer than half of the residuals are wrong. NaN for none. Residuals are left
// as they are.
func MAD(residuals []float64) float64 {
	n := len(residuals)
	if n == 0 {
		return math.NaN()
	}
	sizes := make([]float64, n)
	for i, r := range residuals {
		sizes[i] = math.Abs(r)
	}
	return normalMAD * Middle(sizes)
}
