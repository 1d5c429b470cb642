package wall

import (
	"fmt"
	"slices"
)

const wetTerm = "wetness carried over"

// chooseDrying adds the wetness term where times allow and where it lowers
// AICc by 2 or more, with the τ of the best likelihood. It fills in.rows' wet.
func chooseDrying(in inputs, d design, weights []float64) (design, float64, error) {
	if in.timedShare < leastTimedShare {
		d.notes = append(slices.Clone(d.notes), fmt.Sprintf("wetness is not in the model: it needs a time of day on %.0f %% of the casts, and %.0f %% have one", 100*leastTimedShare, 100*in.timedShare))
		return d, 0, nil
	}
	l := powerLaw{free: true}
	dry, err := fitOne(in, l, d, weights)
	if err != nil {
		return d, 0, err
	}
	wetDesign := d
	wetDesign.columns = append(slices.Clone(d.columns), column{term: wetTerm, of: func(r row) float64 { return r.wet }})
	bestTau, bestAICc := 0.0, dry.aicc
	for _, tau := range dryingTimes() {
		setWetness(in, tau)
		wet, err := fitOne(in, l, wetDesign, weights)
		if err != nil {
			return d, 0, err
		}
		// τ was chosen too, which costs a parameter that AICc has not counted: 2.
		if j := wet.design.index(wetTerm); j >= 0 && wet.aicc+2 < bestAICc {
			bestTau, bestAICc = tau, wet.aicc+2
		}
	}
	setWetness(in, bestTau)
	if bestTau == 0 || dry.aicc-bestAICc < 2 {
		d.notes = append(slices.Clone(d.notes), "wetness is not in the model: the casts show no slower casting in a mold still wet from earlier casts")
		setWetness(in, 0)
		return d, 0, nil
	}
	return wetDesign, bestTau, nil
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
