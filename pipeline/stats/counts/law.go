package counts

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Law is the negative binomial law of a count with this mean, 0 or more, and
// variance Mean + Mean²/Size; a Size of +Inf is the Poisson law.
//
//	P(k) = Γ(k+θ)/(k! Γ(θ)) · (θ/(θ+μ))^θ · (μ/(θ+μ))^k
type Law struct {
	Mean, Size float64
}

// LogProb is the logarithm of the chance of exactly k, −Inf for k below 0 or
// not whole.
func (l Law) LogProb(k float64) float64 {
	switch {
	case k < 0 || k != math.Floor(k):
		return math.Inf(-1)
	case l.Mean == 0:
		if k == 0 {
			return 0
		}
		return math.Inf(-1)
	case math.IsInf(l.Size, 1):
		return k*math.Log(l.Mean) - l.Mean - logFactorial(k)
	}
	return logRising(l.Size, k) - logFactorial(k) - l.Size*math.Log1p(l.Mean/l.Size) - k*math.Log1p(l.Mean/l.Size) + k*math.Log(l.Mean)
}

// CDF is the chance of x or fewer.
func (l Law) CDF(x float64) float64 {
	k := math.Floor(x)
	switch {
	case k < 0:
		return 0
	case l.Mean == 0:
		return 1
	case math.IsInf(l.Size, 1):
		return mathext.GammaIncRegComp(k+1, l.Mean)
	}
	return mathext.RegIncBeta(l.Size, k+1, l.Size/(l.Size+l.Mean))
}

// Quantile is the smallest count that is not exceeded with chance p, which must
// lie in [0, 1).
func (l Law) Quantile(p float64) float64 {
	if p <= 0 || l.Mean == 0 {
		return 0
	}
	low, high := -1.0, math.Ceil(l.Mean)+1
	for l.CDF(high) < p {
		low, high = high, 2*high
	}
	for high-low > 1 { // CDF(low) < p ≤ CDF(high)
		if mid := math.Floor((low + high) / 2); l.CDF(mid) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// Draw draws a count.
func (l Law) Draw(rng *rand.Rand) float64 {
	mean := l.Mean
	if !math.IsInf(l.Size, 1) && mean > 0 {
		mean *= distuv.Gamma{Alpha: l.Size, Beta: l.Size, Src: rng}.Rand()
	}
	if !(mean > 0) {
		return 0
	}
	return distuv.Poisson{Lambda: mean, Src: rng}.Rand()
}

func logFactorial(k float64) float64 {
	v, _ := math.Lgamma(k + 1)
	return v
}

// shortSum is up to where sums over 0 … k−1 are taken term by term: they keep
// all digits where differences of gamma functions of a large θ would not.
const shortSum = 2000

// logRising is log Γ(θ+k) − log Γ(θ) − k·log θ.
func logRising(theta, k float64) float64 {
	if k > shortSum {
		a, _ := math.Lgamma(theta + k)
		b, _ := math.Lgamma(theta)
		return a - b - k*math.Log(theta)
	}
	var sum float64
	for j := 1.0; j < k; j++ {
		sum += math.Log1p(j / theta)
	}
	return sum
}

// risingSlope is ψ(θ+k) − ψ(θ).
func risingSlope(theta, k float64) float64 {
	if k > shortSum {
		return mathext.Digamma(theta+k) - mathext.Digamma(theta)
	}
	var sum float64
	for j := 0.0; j < k; j++ {
		sum += 1 / (theta + j)
	}
	return sum
}

// risingBend is ψ'(θ) − ψ'(θ+k).
func risingBend(theta, k float64) float64 {
	if k > shortSum {
		return mathext.Zeta(2, theta) - mathext.Zeta(2, theta+k) // ψ'(x) = ζ(2, x)
	}
	var sum float64
	for j := 0.0; j < k; j++ {
		sum += 1 / ((theta + j) * (theta + j))
	}
	return sum
}
