package hindcast

import (
	"math"
	"slices"

	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Rescale gives today's answers the widths that earlier forecasts call for: the
// intervals of next walls and dwells on the log scale about the forecast,
// the draws of remaining casts on a normal scale about their middle, and with them
// the points and chances of each mold's row.
func (a Answer) Rescale(w wall.Answer, l life.Answer) (wall.Answer, life.Answer) {
	if f := a.WallFactor; f != 1 && f > 0 && w.Fitted {
		w.States, w.Guide = slices.Clone(w.States), slices.Clone(w.Guide)
		for i := range w.States {
			s := &w.States[i]
			s.NextWallLower90, s.NextWallUpper90 = stretched(s.NextWallMM, s.NextWallLower90, f), stretched(s.NextWallMM, s.NextWallUpper90, f)
		}
		for i := range w.Guide {
			g := &w.Guide[i]
			g.DwellLower90, g.DwellUpper90 = stretched(g.DwellMin, g.DwellLower90, f), math.Min(longestMin, stretched(g.DwellMin, g.DwellUpper90, f))
		}
	}
	if f := a.LifeFactor; f != 1 && f > 0 {
		l.Remaining, l.Draws = slices.Clone(l.Remaining), slices.Clone(l.Draws)
		for i, draws := range l.Draws {
			if i < len(l.Remaining) && len(draws) > 0 {
				l.Draws[i] = life.Stretched(draws, f)
				l.Remaining[i] = life.Summarise(l.Remaining[i], l.Draws[i])
			}
		}
	}
	return w, l
}

// longestMin bounds a dwell: more than a day is no advice.
const longestMin = 24 * 60

// stretched is a bound on the log scale so many times as far from the middle.
func stretched(middle, bound, factor float64) float64 {
	if !tables.Has(middle) || !tables.Has(bound) || middle <= 0 || bound <= 0 {
		return bound
	}
	return middle * math.Pow(bound/middle, factor)
}
