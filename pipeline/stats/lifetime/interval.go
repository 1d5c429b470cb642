package lifetime

import (
	"fmt"
	"math"
)

// Interval holds the true value with the share of confidence asked for.
// Lower 0 or Upper +Inf (for a survival: 1) mean that the data set no limit
// on that side.
type Interval struct {
	Lower, Upper float64
}

// The intervals are profile likelihood intervals, with a prior of the
// posterior: the values that some law attains whose log posterior is within
// z²/2 of the maximum (Venzon & Moolgavkar, Applied Statistics 37, 1988).
// Few or heavily censored lives make them lopsided, as they should be, where
// limits from a standard error would be too short at the top.

// ShapeInterval is the profile interval for Shape with the given level in
// (0,1), for example 0.95.
func (f Fit) ShapeInterval(level float64) Interval {
	profile := func(a float64) float64 { v, _ := f.posterior.overScale(a); return v }
	low, high := f.limits(profile, math.Log(f.Shape), math.Sqrt(f.CovLog[0][0]), level)
	return Interval{Lower: math.Exp(low), Upper: math.Exp(high)}
}

// ScaleInterval is the profile interval for Scale with the given level in (0,1).
func (f Fit) ScaleInterval(level float64) Interval {
	return f.ageInterval(0, level)
}

// QuantileInterval is the profile interval, with the given level in (0,1), for
// the age by which a share p in (0,1) has ended.
func (f Fit) QuantileInterval(p, level float64) Interval {
	if !(p > 0 && p < 1) {
		panic(fmt.Sprintf("lifetime: share ended %g is not between 0 and 1", p))
	}
	return f.ageInterval(math.Log(hazardOf(p)), level)
}

// ageInterval is the interval for the age at which log H reaches logHazard:
// log age = b + logHazard/shape.
func (f Fit) ageInterval(logHazard, level float64) Interval {
	tilt := logHazard / f.Shape
	variance := tilt*tilt*f.CovLog[0][0] - 2*tilt*f.CovLog[0][1] + f.CovLog[1][1]
	profile := f.along(func(logAge, a float64) float64 { return logAge - logHazard*math.Exp(-a) })
	low, high := f.limits(profile, math.Log(f.Scale)+tilt, math.Sqrt(variance), level)
	return Interval{Lower: math.Exp(low), Upper: math.Exp(high)}
}

// SurvivalInterval is the profile interval, with the given level in (0,1), for
// the chance of living past an age.
func (f Fit) SurvivalInterval(age, level float64) Interval {
	logAge := math.Log(age)
	if !(age > 0) || math.IsInf(age, 1) {
		s := f.Survival(age)
		return Interval{Lower: s, Upper: s}
	}
	logHazard := f.logHazard(age)
	variance := logHazard*logHazard*f.CovLog[0][0] -
		2*logHazard*f.Shape*f.CovLog[0][1] + f.Shape*f.Shape*f.CovLog[1][1]
	profile := f.along(func(logHazard, a float64) float64 { return logAge - logHazard*math.Exp(-a) })
	low, high := f.limits(profile, logHazard, math.Sqrt(variance), level)
	return Interval{Lower: math.Exp(-math.Exp(high)), Upper: math.Exp(-math.Exp(low))}
}

// along is the log posterior as a function of a value, maximised over the
// laws with that value; logScale gives their b for each a.
func (f Fit) along(logScale func(value, a float64) float64) func(float64) float64 {
	var points []float64 // climb goes on past either end where it must
	for d := -5.0; d <= 5; d += 0.5 {
		points = append(points, math.Log(f.Shape)+d)
	}
	return func(value float64) float64 {
		on := func(a float64) float64 { return f.posterior.at(a, logScale(value, a)) }
		a, _ := climb(on, points)
		return on(a)
	}
}

// furthest is how far, in logarithms, a limit is looked for: e^40 is past any
// age that means anything.
const furthest = 40

// limits are where the profile has fallen by z²/2 below its maximum on either
// side of the estimate, -Inf or +Inf where it never does.
func (f Fit) limits(profile func(float64) float64, estimate, se, level float64) (low, high float64) {
	z := normalTail(level)
	floor := f.posterior.at(math.Log(f.Shape), math.Log(f.Scale)) - z*z/2
	above := func(x float64) float64 { return profile(x) - floor }
	limit := func(direction float64) float64 {
		inside := 0.0
		for step := z * se; ; step *= 1.6 {
			step = min(step, furthest)
			if above(estimate+direction*step) < 0 {
				distance := crossing(func(d float64) float64 { return above(estimate + direction*d) }, inside, step)
				return estimate + direction*distance
			}
			if step == furthest {
				return math.Inf(int(direction))
			}
			inside = step
		}
	}
	return limit(-1), limit(1)
}

// crossing finds where f goes from positive at low to negative at high: regula
// falsi with the Illinois weights, which keeps the root bracketed.
func crossing(f func(float64) float64, low, high float64) float64 {
	fLow, fHigh := f(low), f(high)
	side := 0
	for range 200 {
		if high-low < 1e-12*(1+high) {
			break
		}
		at := (low*fHigh - high*fLow) / (fHigh - fLow)
		if !(at > low && at < high) {
			at = low + (high-low)/2
		}
		v := f(at)
		switch {
		case v == 0:
			return at
		case v > 0:
			low, fLow = at, v
			if side == 1 {
				fHigh /= 2
			}
			side = 1
		default:
			high, fHigh = at, v
			if side == -1 {
				fLow /= 2
			}
			side = -1
		}
	}
	return low + (high-low)/2
}
