package wall

import (
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// leastTimedShare is the share of casts that must have a time of day before
// wetness is looked at.
const leastTimedShare = 0.8

// dryingTimes are the values of τ in hours among which the likelihood chooses:
// a mold airs in an hour or more and dries in two to seven days (common
// practice, no source).
func dryingTimes() []float64 { return []float64{1, 2, 4, 8, 16, 32, 64} }

// wetness is what a mold carries over from its earlier casts, in undried casts:
// w = Σ exp(−Δh/τ) over the earlier casts of the mold, Δh in hours. The result
// has an entry for every cast of the log. A cast without a time of day is taken
// two hours after the one before it that day, the first at nine.
func wetness(log history.Log, tau float64) []float64 {
	w := make([]float64, len(log.Casts))
	for _, m := range log.Molds {
		var carried, last float64
		for i := m.First; i < m.Last; i++ {
			now := hours(log, i, m.First, last)
			if i > m.First {
				carried = (carried + 1) * math.Exp(-max(0, now-last)/tau)
			}
			w[i], last = carried, now
		}
	}
	return w
}

func hours(log history.Log, i, first int, last float64) float64 {
	c := log.Casts[i]
	midnight := 24 * float64(c.Date)
	switch {
	case tables.Has(c.Minute()):
		return midnight + c.Minute()/60
	case i > first && log.Casts[i-1].Date == c.Date:
		return last + 2
	}
	return midnight + 9
}
