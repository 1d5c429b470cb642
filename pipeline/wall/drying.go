package wall

import (
	"fmt"
	"math"
	"slices"

	"moldwright/pipeline/stats/mixed"
)

const wetTerm = "wetness carried over"

// chooseDrying adds the wetness term where times allow and where it lowers
// AICc by 2 or more, with the τ of the best likelihood. It fills in.rows' wet.
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
	wetDesign.columns = append(slices.Clone(d.columns), column{term: wetTerm, of: func(r row) float64 { return r.wet }})
	bestTau, bestAICc := 0.0, dry.aicc
	for _, tau := range dryingTimes() {
		setWetness(in, tau)
		wet, err := fitOne(in, l, wetDesign, weights, start{at: &near}, mixed.ML)
		if err != nil {
			return d, 0, err
		}
		// τ was chosen too, which costs a parameter that AICc has not counted: 2.
		// A term that says a wet mold casts faster is chance.
		if j := wet.design.index(wetTerm); j >= 0 && wet.model.Beta[j] < 0 && wet.aicc+2 < bestAICc {
			bestTau, bestAICc = tau, wet.aicc+2
		}
	}
	if bestTau == 0 || dry.aicc-bestAICc < 2 {
		d.notes = append(slices.Clone(d.notes), "wetness is not in the model: the casts show no slower casting in a mold still wet from earlier casts")
		setWetness(in, 0)
		return d, 0, nil
	}
	setWetness(in, bestTau)
	return wetDesign, bestTau, nil
}

// Steps of the search for the drying time: golden sections of log τ.
const (
	dryingSections = 10
	golden         = 0.6180339887498949
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
	low, high := math.Log(tau/2), math.Log(2*tau)
	left, right := high-golden*(high-low), low+golden*(high-low)
	atLeft, atRight := criterion(left), criterion(right)
	for k := range dryingSections {
		if math.IsNaN(atLeft) || math.IsNaN(atRight) {
			setWetness(in, tau)
			return tau
		}
		last := k == dryingSections-1
		if atLeft < atRight { // what was the left is the right of the rest
			high, right, atRight = right, left, atLeft
			if left = high - golden*(high-low); !last {
				atLeft = criterion(left)
			}
		} else {
			low, left, atLeft = left, right, atRight
			if right = low + golden*(high-low); !last {
				atRight = criterion(right)
			}
		}
	}
	refined := math.Exp((low + high) / 2)
	setWetness(in, refined)
	return refined
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
