package lifetime

import (
	"math"
	"math/rand/v2"
)

// Weibull is the law of lives with survival
//
//	S(t) = exp(-H(t)),  H(t) = (t/Scale)^Shape
//
// A Shape above 1 means wearing out, 1 a constant hazard, below 1 early
// failures; by age Scale 63.2 % have ended. Both must be positive and finite,
// otherwise every method returns NaN.
//
// The formulas are written out on the log scale, where distuv.Weibull loses
// them for tiny probabilities and huge ages.
type Weibull struct {
	Shape float64
	Scale float64
}

// Valid reports whether both parameters are positive and finite.
func (w Weibull) Valid() bool {
	return w.Shape > 0 && w.Scale > 0 && !math.IsInf(w.Shape, 1) && !math.IsInf(w.Scale, 1)
}

// logHazard is log H(age), -Inf at age 0 and below.
func (w Weibull) logHazard(age float64) float64 {
	if !w.Valid() {
		return math.NaN()
	}
	if age <= 0 {
		return math.Inf(-1)
	}
	return w.Shape * (math.Log(age) - math.Log(w.Scale))
}

// Survival is the chance, in [0,1], of living past the given age.
func (w Weibull) Survival(age float64) float64 {
	return math.Exp(-math.Exp(w.logHazard(age)))
}

// Quantile is the age by which a share p in [0,1] has ended: 0 at 0, +Inf at
// 1, NaN outside.
func (w Weibull) Quantile(p float64) float64 {
	return w.remaining(0, hazardOf(p))
}

// CondSurvival is the chance, in [0,1], that a unit alive at the given age
// lives for more after that.
func (w Weibull) CondSurvival(age, more float64) float64 {
	if age <= 0 {
		return w.Survival(more)
	}
	if math.IsNaN(age) || math.IsNaN(more) || !w.Valid() {
		return math.NaN()
	}
	if more <= 0 {
		return 1
	}
	// H(age+more) - H(age), without the cancellation of two nearly equal
	// numbers and without overflow.
	growth := w.Shape * math.Log1p(more/age)
	return math.Exp(-math.Exp(w.logHazard(age) + logExpm1(growth)))
}

// CondQuantile is the remaining life within which a share p in [0,1] of the
// units alive at the given age will end: 0 at 0, +Inf at 1, NaN outside.
func (w Weibull) CondQuantile(age, p float64) float64 {
	return w.remaining(age, hazardOf(p))
}

// DrawRemaining draws the remaining life of a unit alive at the given age.
func (w Weibull) DrawRemaining(age float64, rng *rand.Rand) float64 {
	return w.remaining(age, rng.ExpFloat64())
}

// Mean is the mean life of new units. It is +Inf for shapes so small that no
// floating point number can hold it.
func (w Weibull) Mean() float64 {
	if !w.Valid() {
		return math.NaN()
	}
	logGamma, _ := math.Lgamma(1 + 1/w.Shape)
	return math.Exp(math.Log(w.Scale) + logGamma)
}

// remaining solves H(age+r) - H(age) = hazard for r.
func (w Weibull) remaining(age, hazard float64) float64 {
	if math.IsNaN(age) || math.IsNaN(hazard) || !w.Valid() {
		return math.NaN()
	}
	logScale := math.Log(w.Scale)
	switch {
	case hazard == 0:
		return 0
	case age <= 0:
		return math.Exp(logScale + math.Log(hazard)/w.Shape)
	}
	// With x = log(hazard/H(age)), r = age ((1+e^x)^(1/Shape) - 1).
	x := math.Log(hazard) - w.logHazard(age)
	if x > 36 { // 1+e^x is e^x to the last digit
		return max(0, math.Exp(logScale+math.Log(hazard)/w.Shape)-age)
	}
	return age * math.Expm1(math.Log1p(math.Exp(x))/w.Shape)
}

// hazardOf turns a share that has ended into the cumulative hazard.
func hazardOf(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	if p == 0 {
		return 0 // -Log1p(-0) is -0
	}
	return -math.Log1p(-p)
}

// logExpm1 is log(exp(x)-1) for x > 0.
func logExpm1(x float64) float64 {
	if x > 36 {
		return x
	}
	return math.Log(math.Expm1(x))
}
