package charts

import (
	"fmt"
	"slices"

	"gonum.org/v1/plot"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/wall"
)

// rateAgainstAge draws each mold's casting rate against its age, molds in use first.
func rateAgainstAge(s style, res pipeline.Result) (figure, bool) {
	var all []wall.Path
	for _, p := range res.Wall.Paths {
		if hasPoint(p.AgeCasts, p.Rate) || hasPoint(p.FitAge, p.FitRate) {
			all = append(all, p)
		}
	}
	if len(all) == 0 {
		return figure{}, false
	}
	slices.SortStableFunc(all, func(a, b wall.Path) int {
		switch {
		case a.InUse == b.InUse:
			return 0
		case a.InUse:
			return -1
		}
		return 1
	})
	u := res.Settings.Units
	rank := urgency(res)
	told := firstToAct(all, mostMolds, func(p wall.Path) int { return rank(p.Mold) })
	shown := ratesIn(u.CastingRate(), told)
	x, y := rateScales(shown, u.CastingRate())
	cols, height := shapeOf(len(shown))
	g := grid{x: x, y: y, xLabel: "mold age, casts", yLabel: "casting rate k, " + u.CastingRate().Name, cols: cols, panelHeight: height}
	dots, line := castMark(), fitPen()
	if cols > 3 {
		dots, line = crowdedMark(), pen(cobalt, 0.9) // the band must not vanish below the line
	}
	off, casts, drawn := 0, 0, 0
	var alts []string
	for i, p := range shown {
		off += beyond(x, y, p.AgeCasts, p.Rate)
		ages, rates := thinned(p.AgeCasts, p.Rate, mostDots/len(shown))
		casts, drawn = casts+len(p.Rate), drawn+len(rates)
		heading := p.Mold
		if !p.InUse {
			heading += " (ended)"
		}
		g.panels = append(g.panels, panel{
			heading: heading,
			layers: []plot.Plotter{
				band{p.FitAge, p.FitLow95, p.FitUp95, mist},
				marks{ages, rates, dots},
				curve{p.FitAge, p.FitRate, line},
			},
		})
		alts = append(alts, rateAlt(told[i], u))
	}
	return figure{
		name: "rate_against_age", section: SectionWall,
		title: "How fast does each mold still cast?",
		alt:   fmt.Sprintf("Casting rate against mold age in casts for %s: the fitted line at its ends. ", counted(len(all), "mold", "molds")) + listed(alts, 8, "molds"),
		note: sentences("Casting rate k is wall² / dwell of each measured cast; the line is fitted at the mold's usual dwell. A falling line is wear.",
			leftOut(len(shown), len(all), "molds, those that need action first", "tables/mold_state"), leftOut(drawn, casts, "casts", "tables/casts_used"), offScale(off, "cast", "casts")),
		shown: both(partly(len(shown), len(all), "molds", actionFirst), partly(drawn, casts, "casts", throughLog)),
		key: []keyEntry{
			{markSwatch(dots), "measured cast"},
			{lineSwatch(line), "fitted"},
			{bandSwatch(mist), "95 % interval of the fit"},
		},
		body: g,
	}, true
}

func rateScales(paths []wall.Path, unit format.Unit) (x, y scale) {
	var ages, rates [][]float64
	for _, p := range paths {
		ages = append(ages, p.AgeCasts, p.FitAge)
		rates = append(rates, p.Rate, p.FitRate)
	}
	return castScale(ages...), rateScale(unit, rates...)
}

// castScale is an axis of mold ages, or of counts of casts, from 0 on.
func castScale(values ...[]float64) scale {
	_, hi, _ := span(values...)
	x := over(hi, 5)
	x.whole = true
	return x
}

func rateScale(unit format.Unit, values ...[]float64) scale {
	lo, hi, _ := span(values...)
	return fromZeroIfNear(lo, hi, unit.Of(0.1))
}

func rateAlt(p wall.Path, u format.Units) string {
	n := min(len(p.FitAge), len(p.FitRate))
	if n == 0 {
		return short(p.Mold) + ": no fitted line."
	}
	out := fmt.Sprintf("%s: %s at age %s", short(p.Mold), u.Rate(p.FitRate[0]), format.Fixed(p.FitAge[0], 0))
	if n > 1 {
		out += fmt.Sprintf(", %s at age %s", u.Rate(p.FitRate[n-1]), format.Fixed(p.FitAge[n-1], 0))
	}
	return out + "."
}
