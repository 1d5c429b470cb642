package life

import (
	"slices"

	"moldwright/pipeline/tables"
)

// summary turns draws of remaining casts into quantiles and chances. The
// quantile p is the smallest number of casts that at least a share p of the
// draws does not exceed. It sorts the draws.
func summary(draws []float64) tables.RemainingCasts {
	slices.Sort(draws)
	at := func(p float64) float64 { return draws[min(len(draws)-1, int(p*float64(len(draws))))] }
	survive := func(more float64) float64 {
		first, _ := slices.BinarySearch(draws, more)
		return float64(len(draws)-first) / float64(len(draws))
	}
	return tables.RemainingCasts{
		RemainingP10: at(0.1), RemainingP50: at(0.5), RemainingP90: at(0.9),
		Survive5: survive(5), Survive10: survive(10), Survive20: survive(20),
	}
}
