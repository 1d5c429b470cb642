package wall

import "math"

// What physics says of the slip before a log is read, as a weak prior on the
// terms of log wall. Filtration goes as 1/viscosity of water, which falls by
// about 2.3 % for each °C near 20 °C (so the rate rises by 26 % from 20 to
// 30 °C), and a denser slip has less water to lose: from 1.75 to 1.80 the rate
// rises 1.38 times at unchanged permeability (both derived). Log wall changes by
// half as much as log rate. The spread is about half of the effect itself.
var slipPriors = [slipTerms]prior{
	slipGravity:     {mean: math.Log(1.38) / 0.05 / 2, sd: 1.6},
	slipTemperature: {mean: math.Log(1.26) / 10 / 2, sd: 0.006},
}

// prior is what is believed of a term of log wall before a log is read.
type prior struct{ mean, sd float64 }

// wearPrior is what common practice says of wear, no source: a mold is given up
// when it needs about 1.6 times the dwell of a new one, a split mold after some
// 35 casts and a conventional one after about 100, so log wall at one dwell falls
// by ½·log 1.6 over its life. The spread is as large as the wear itself.
func wearPrior(kind string) prior {
	const atEnd = 0.5 * 0.47 // ½·log 1.6
	life := 60.0
	switch kind {
	case "split":
		life = 35
	case "one-piece", "multi-part":
		life = 100
	}
	return prior{mean: -atEnd / life, sd: atEnd / life}
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

// pseudoRows are the priors of a design: those of its age terms, for log wall
// times byAge, and of its other terms, for log wall times byLevel.
func (d design) pseudoRows(byLevel, byAge float64) []pseudoRow {
	var out []pseudoRow
	for j, c := range d.columns {
		if c.believed.sd == 0 {
			continue
		}
		factor := byLevel
		if c.ages {
			factor = byAge
		}
		scale := usualScatter / (c.believed.sd * math.Abs(factor))
		out = append(out, pseudoRow{column: j, x: scale, y: scale * c.believed.mean * factor})
	}
	return out
}
