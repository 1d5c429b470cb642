package wall

import "math"

// What physics says of the slip before a log is read, as a weak prior on the
// terms of log wall. Filtration goes as 1/viscosity of water, which falls by
// about 2.3 % for each °C near 20 °C (so the rate rises by 26 % from 20 to
// 30 °C), and a denser slip has less water to lose: from 1.75 to 1.80 the rate
// rises 1.38 times at unchanged permeability (both derived). Log wall changes by
// half as much as log rate. The spread is about half of the effect itself: some
// fifty casts over a year outweigh it.
var slipPriors = [slipTerms]struct{ mean, sd float64 }{
	slipGravity:     {mean: math.Log(1.38) / 0.05 / 2, sd: 1.6},
	slipTemperature: {mean: math.Log(1.26) / 10 / 2, sd: 0.006},
}

// usualScatter is the residual standard deviation of log wall by which priors
// are weighed against casts before it is known.
const usualScatter = 0.035

// pseudoRow is a row that stands for a prior: it adds (sd_ε/sd)·(β_j − mean) to
// the residuals of the fit and belongs to no mold.
type pseudoRow struct {
	column int
	x, y   float64
}

// pseudoRows are the priors of a design's slip terms, for log wall times factor.
func (d design) pseudoRows(factor float64) []pseudoRow {
	var out []pseudoRow
	for j, c := range d.columns {
		if !c.prior {
			continue
		}
		p := slipPriors[c.slip]
		scale := usualScatter / (p.sd * math.Abs(factor))
		out = append(out, pseudoRow{column: j, x: scale, y: scale * p.mean * factor})
	}
	return out
}
