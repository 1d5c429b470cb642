package hindcast

import (
	"fmt"
	"math"

	"moldwright/pipeline/tables"
)

// Names of what is forecast.
const (
	WhatWall = "wall"
	WhatLife = "remaining_casts"
)

// judgeWalls counts the forecasts of walls.
func (a *Answer) judgeWalls(set Settings) {
	if len(a.Walls) == 0 {
		return
	}
	var molds []string
	var loss, rival, compared float64
	heldOf := map[string]*heldWalls{}
	var all heldWalls
	for _, w := range a.Walls {
		molds = append(molds, w.Mold)
		if heldOf[w.Mold] == nil {
			heldOf[w.Mold] = new(heldWalls)
		}
		all.add(&w)
		heldOf[w.Mold].add(&w)
		if tables.Has(w.LastMM) {
			loss += threePoints(w.low, w.ForecastMM, w.high, w.MeasuredMM)
			rival += threePoints(w.LastMM, w.LastMM, w.LastMM, w.MeasuredMM)
			compared++
		}
	}
	for i, level := range levels() {
		h, n := all.held[i], all.n
		row := tables.Hindcast{What: WhatWall, Level: level, Forecasts: tables.Count(n), Held: tables.Count(h), Share: h / n, Factor: 1, Loss: loss / compared, Rival: rival / compared}
		row.StdError = spread(row.Share, int(n), molds, func(m string) float64 {
			return (h - heldOf[m].held[i]) / math.Max(1, n-heldOf[m].n)
		})
		if off(row, int(n), set) {
			row.Factor = conformal(a.wallScores(level), level)
		}
		if level == 0.9 {
			a.WallFactor = row.Factor
		}
		a.Rows = append(a.Rows, row)
	}
}

// heldWalls counts forecasts of walls, and those held by the interval of each level.
type heldWalls struct {
	n    float64
	held [3]float64
}

func (h *heldWalls) add(w *Wall) {
	h.n++
	for i := range h.held {
		if w.held[i] {
			h.held[i]++
		}
	}
}

// wallScores are the errors of log wall in half widths of the level's interval:
// 1 is an error that its end just holds.
func (a *Answer) wallScores(level float64) []float64 {
	scores := make([]float64, len(a.Walls))
	for i, w := range a.Walls {
		half := math.Log(w.Upper/w.Lower) / 2
		switch level {
		case 0.8:
			half = math.Log(w.high/w.low) / 2
		case 0.5:
			half *= normalPoint(0.5) / normalPoint(0.9)
		}
		scores[i] = math.Abs(math.Log(w.MeasuredMM/w.ForecastMM)) / half
	}
	return scores
}

// judgeLives counts the forecasts of remaining casts.
func (a *Answer) judgeLives(set Settings) {
	if len(a.Lives) == 0 {
		return
	}
	var places []place
	var molds []string
	var loss, rival, ended float64
	for _, l := range a.Lives {
		places = append(places, place{l.u, l.Ended, l.Mold})
		molds = append(molds, l.Mold)
		if l.Ended {
			loss += threePoints(l.P10, l.P50, l.P90, l.Came)
			rival += threePoints(l.Rival, l.Rival, l.Rival, l.Came)
			ended++
		}
	}
	sorted := rank(places)
	limit := limitOf(places)
	for _, level := range levels() {
		row := tables.Hindcast{What: WhatLife, Level: level, Factor: 1, Loss: loss / ended, Rival: rival / ended, Share: tables.Absent(), StdError: tables.Absent()}
		for _, p := range places {
			switch {
			case p.ended && math.Abs(p.u-0.5) <= level/2:
				row.Held++
				row.Forecasts++
			case p.ended || p.u > 0.5+level/2: // one that outlived its interval is decided, too
				row.Forecasts++
			default:
				row.Undecided++
			}
		}
		if ended > 0 {
			row.Share = limit.within(level)
			row.StdError = spread(row.Share, int(row.Forecasts), molds, func(m string) float64 {
				return sorted.without(m).within(level)
			})
			if off(row, int(ended), set) {
				row.Factor = conformalPlaces(places, level)
			}
		}
		if level == 0.8 {
			a.LifeFactor = row.Factor
		}
		a.Rows = append(a.Rows, row)
	}
	// One factor stretches the draws, hence the intervals of all levels.
	for i := range a.Rows {
		if a.Rows[i].What == WhatLife {
			a.Rows[i].Factor = a.LifeFactor
		}
	}
}

// off reports whether a share is off its level by more than chance explains, on
// enough forecasts.
func off(r tables.Hindcast, scored int, set Settings) bool {
	return scored >= set.LeastScored && math.Abs(r.Share-r.Level) > set.Doubt*r.StdError
}

func notes(a Answer, set Settings) []string {
	out := []string{
		fmt.Sprintf("At %d past dates from %s to %s the log was cut to what was known then, everything was fitted anew, and each mold's coming walls (up to the next of these dates, at the dwells and with the slips then used) and remaining casts were forecast.", len(a.Origins), a.Origins[0], a.Origins[len(a.Origins)-1]),
		"Molds still in use have not told their remaining casts. Counting only the ends seen would favour early ends. So the share for remaining casts is the product limit (Kaplan & Meier 1958) on the scale of the forecasts' own chances, in which a mold still in use counts as ‘at least this far’. Held and forecasts beside it count only what is decided: molds that ended, and molds that outlived the interval.",
		"The standard error of a share is the binomial one, or the one by leaving out mold after mold where that is larger.",
		"Loss is the mean pinball loss of the 10, 50 and 90 % points; beside it that of a plain rival: the last wall unchanged, or the mean life of the kind so far less the age. For remaining casts it rests on molds that ended.",
	}
	rule := fmt.Sprintf("Intervals are rescaled (split conformal; Vovk et al. 2005; Lei et al. 2018) where at least %d forecasts were scored and the share is off its level by more than %.0f standard errors.", set.LeastScored, set.Doubt)
	switch {
	case a.WallFactor == 1 && a.LifeFactor == 1:
		rule += " Neither was the case for the intervals of this report: they stand as fitted."
	default:
		if a.WallFactor != 1 {
			rule += fmt.Sprintf(" The 90 %% intervals of next walls and of the dwell guide in this report are %.2f times as wide as fitted.", a.WallFactor)
		}
		if a.LifeFactor != 1 {
			rule += fmt.Sprintf(" The draws of remaining casts, and with them their intervals and the chances to make 5, 10 and 20 more, are stretched by %.2f on the normal scale, as the 80 %% intervals call for.", a.LifeFactor)
		}
	}
	return append(out, rule)
}
