package wall

import (
	"fmt"
	"math"
	"slices"

	"moldwright/pipeline/stats/chunks"
	"moldwright/pipeline/stats/mixed"
)

const wetTerm = "wetness carried over"

// chooseDrying adds the wetness term where times allow and where it lowers
// AICc by 2 or more, with the τ of the best likelihood, for a past date by the parabola
// through it and its neighbours: a tenth of τ moves a wall by far less than its
// interval. It fills in.rows' wet.
func chooseDrying(in inputs, d design, weights []float64, near fit) (design, float64, error) {
	if in.timedShare < leastTimedShare {
		d.notes = append(slices.Clone(d.notes), fmt.Sprintf("wetness is not in the model: it needs a time of day on %.0f %% of the casts, and %.0f %% have one", 100*leastTimedShare, 100*in.timedShare))
		return d, 0, nil
	}
	l := powerLaw{free: true}
	dry, err := fitOne(in, l, d, weights, start{at: &near}, mixed.ML)
	if err != nil {
		return d, 0, err
	}
	wetDesign := d
	wetDesign.columns = append(slices.Clone(d.columns), column{term: wetTerm, is: carriedWet, of: func(r row) float64 { return r.wet }})
	bestTau, bestAICc, at := 0.0, dry.aicc, 0
	aicc, slows, errs := make([]float64, len(dryingTimes())), make([]bool, len(dryingTimes())), make([]error, len(dryingTimes()))
	chunks.Each(len(aicc), 1, func(i, _, _ int) {
		own := in // each drying time has its own wetness of the rows
		own.rows = slices.Clone(in.rows)
		setWetness(own, dryingTimes()[i])
		wet, err := fitOne(own, l, wetDesign, weights, start{at: &near}, mixed.ML)
		if errs[i] = err; err != nil {
			return
		}
		aicc[i] = wet.aicc
		// A term that says a wet mold casts faster is chance.
		j := wet.design.index(wetTerm)
		slows[i] = j >= 0 && wet.model.Beta[j] < 0
	})
	for i, tau := range dryingTimes() {
		if errs[i] != nil {
			return d, 0, errs[i]
		}
		// τ was chosen too, which costs a parameter that AICc has not counted: 2.
		if slows[i] && aicc[i]+2 < bestAICc {
			bestTau, bestAICc, at = tau, aicc[i]+2, i
		}
	}
	if bestTau == 0 || dry.aicc-bestAICc < 2 {
		d.notes = append(slices.Clone(d.notes), "wetness is not in the model: the casts show no slower casting in a mold still wet from earlier casts")
		setWetness(in, 0)
		return d, 0, nil
	}
	if in.quick && at > 0 && at < len(aicc)-1 {
		bestTau = math.Exp(vertex(math.Log(bestTau)-math.Ln2, aicc[at-1], math.Log(bestTau), aicc[at], math.Log(bestTau)+math.Ln2, aicc[at+1]))
	}
	setWetness(in, bestTau)
	return wetDesign, bestTau, nil
}

// The search for the drying time: looks at log τ, and how closely it is wanted.
const (
	mostDrying  = 8
	dryingClose = 0.02
	golden      = 0.6180339887498949
)

// refineDrying profiles τ by likelihood with the chosen law, between the grid's
// neighbours of the value found there, and sets the rows' wetness. Where the law
// cannot be fitted on the way, the grid's value stays.
func refineDrying(in inputs, best fit, tau float64, weights []float64) float64 {
	criterion := func(logTau float64) float64 {
		setWetness(in, math.Exp(logTau))
		m, err := best.law.fit(in, best.design, weights, start{at: &best}, mixed.ML)
		if err != nil {
			return math.NaN()
		}
		best.model = m[0] // near the next
		return m[0].Deviance
	}
	middle := math.Log(tau)
	refined := math.Exp(lowest(criterion, middle-math.Ln2, middle, middle+math.Ln2, dryingClose))
	if math.IsNaN(refined) {
		refined = tau
	}
	setWetness(in, refined)
	return refined
}

// lowest is where f is lowest between low and high, closely enough: by parabolas
// through three points, and by golden sections where they lead nowhere (Brent 1973).
// NaN where f is, at any place that is looked at.
func lowest(f func(float64) float64, low, middle, high, near float64) float64 {
	atLow, at, atHigh := f(low), f(middle), f(high)
	for range mostDrying {
		if math.IsNaN(atLow + at + atHigh) {
			return math.NaN()
		}
		next := vertex(low, atLow, middle, at, high, atHigh)
		if math.Abs(next-middle) < near {
			break
		}
		value := f(next)
		switch {
		case value < at && next > middle:
			low, atLow, middle, at = middle, at, next, value
		case value < at:
			high, atHigh, middle, at = middle, at, next, value
		case next > middle:
			high, atHigh = next, value
		default:
			low, atLow = next, value
		}
	}
	return middle
}

// vertex is the lowest place of the parabola through three points, kept well between
// the outer ones; a golden section of the wider side where it has none there.
func vertex(low, atLow, middle, at, high, atHigh float64) float64 {
	left, right := middle-low, high-middle
	rise, fall := (atHigh-at)*left, (atLow-at)*right
	if bend := rise + fall; bend > 0 && at <= atLow && at <= atHigh {
		return min(max(middle+(fall*right-rise*left)/(2*bend), low+left/10), high-right/10)
	}
	switch {
	case atLow < at && atLow <= atHigh:
		return low + left*(1-golden)
	case atHigh < at:
		return high - right*(1-golden)
	case right > left:
		return middle + right*(1-golden)
	}
	return middle - left*(1-golden)
}

func setWetness(in inputs, tau float64) {
	if tau == 0 {
		for i := range in.rows {
			in.rows[i].wet = 0
		}
		return
	}
	w := wetness(in.log, tau)
	for i := range in.rows {
		in.rows[i].wet = w[in.rows[i].cast]
	}
}
