package charts

import (
	"fmt"

	"gonum.org/v1/plot"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/wall"
)

// wallAgainstDwell draws, for each form, the casts, the fitted curve with its
// 90 % prediction band, and the target wall.
func wallAgainstDwell(s style, res pipeline.Result) (figure, bool) {
	var all []wall.Curve
	for _, c := range res.Wall.Curves {
		if hasPoint(c.DwellMin, c.WallMM) || hasPoint(c.CastDwellMin, c.CastWallMM) {
			all = append(all, c)
		}
	}
	if len(all) == 0 {
		return figure{}, false
	}
	u := res.Settings.Units
	told := all[:min(len(all), mostForms)]
	shown := wallsIn(u.Length(), told)
	x, y := dwellAndWallScales(shown, u.Length())
	cols, height := shapeOf(len(shown))
	g := grid{x: x, y: y, xLabel: "dwell, min", yLabel: "wet wall, " + u.Length().Name, cols: cols, panelHeight: height}
	off, casts, drawn, dots := 0, 0, 0, dotsFor(shown)
	var alts []string
	for i, c := range shown {
		dotsX, dotsY := thinned(c.CastDwellMin, c.CastWallMM, mostDots/len(shown))
		off += beyond(x, y, dotsX, dotsY)
		casts, drawn = casts+len(c.CastWallMM), drawn+len(dotsX)
		g.panels = append(g.panels, panel{
			heading: fmt.Sprintf("%s at age %d", c.Form, c.AgeCasts),
			layers: []plot.Plotter{
				band{c.DwellMin, c.Lower90, c.Upper90, mist},
				targetLevel(s, c, u.Wall(told[i].TargetMM), cols),
				marks{dotsX, dotsY, dots},
				curve{c.DwellMin, c.WallMM, fitPen()},
			},
		})
		alts = append(alts, wallAlt(told[i], u))
	}
	return figure{
		name: "wall_against_dwell", section: SectionWall,
		title: "How thick a wall does each dwell give?",
		alt:   fmt.Sprintf("Wet wall against dwell, %s of %s. ", counted(casts, "cast", "casts"), counted(len(all), "form", "forms")) + listed(alts, 6, "forms"),
		note: sentences("The curve holds for a typical mold at the age named above it, where nine casts in ten of a mold not seen before fall in the pale band; each measured wall was brought to that age, wetness and slip by the fit.",
			leftOut(len(shown), len(all), "forms", "the tables"), leftOut(drawn, casts, "casts", "tables/casts_used"),
			offScale(off, "cast", "casts")),
		shown: both(partly(len(shown), len(all), "forms", ""), partly(drawn, casts, "casts", throughLog)),
		key:   wallKey(dots, cols),
		body:  g,
	}, true
}

// wallKey explains the marks; the target names itself where there is room.
func wallKey(dots mark, cols int) []keyEntry {
	key := []keyEntry{
		{markSwatch(dots), "cast, brought to that age"},
		{lineSwatch(fitPen()), "fitted"},
		{bandSwatch(mist), "90 % prediction"},
	}
	if cols > 2 {
		key = append(key, keyEntry{lineSwatch(limitPen()), "target wall"})
	}
	return key
}

// hasPoint reports whether there is an index at which both are numbers.
func hasPoint(xs, ys []float64) bool {
	for i := range min(len(xs), len(ys)) {
		if drawable(xs[i]) && drawable(ys[i]) {
			return true
		}
	}
	return false
}

func dwellAndWallScales(curves []wall.Curve, length format.Unit) (x, y scale) {
	var dwells, walls [][]float64
	for _, c := range curves {
		dwells = append(dwells, c.CastDwellMin, c.DwellMin)
		walls = append(walls, c.CastWallMM, c.WallMM, c.Lower90, c.Upper90, []float64{c.TargetMM})
	}
	lo, hi, _ := span(dwells...)
	x = fromZeroIfNear(lo, hi, 4)
	lo, hi, _ = span(walls...)
	y = fromZeroIfNear(lo, hi, length.Of(1))
	return x, y
}

// fromZeroIfNear returns a scale about lo to hi that starts at 0 where that costs little room.
func fromZeroIfNear(lo, hi, least float64) scale {
	if lo >= 0 && lo < 0.2*hi {
		return over(hi, least)
	}
	s := around(lo, hi, least)
	if lo >= 0 {
		s.lo = max(s.lo, 0)
	}
	return s
}

// dotsFor is the mark of a cast, small where any panel holds many.
func dotsFor(curves []wall.Curve) mark {
	for _, c := range curves {
		if len(c.CastWallMM) > 150 {
			return crowdedMark()
		}
	}
	return castMark()
}

// targetLevel is the line of the target wall. In a narrow panel the label is
// the figure only: the key says what the line is.
func targetLevel(s style, c wall.Curve, target string, cols int) level {
	label := "target " + target
	if cols > 2 {
		label = target
	}
	return level{
		y: c.TargetMM, line: limitPen(), style: s, label: label,
		avoidX: [][]float64{c.DwellMin, c.CastDwellMin}, avoidY: [][]float64{c.WallMM, c.CastWallMM},
	}
}

// wallAlt puts a form's curve in words: its middle, and the target.
func wallAlt(c wall.Curve, u format.Units) string {
	out := short(c.Form) + ":"
	n := min(len(c.DwellMin), len(c.WallMM), len(c.Lower90), len(c.Upper90))
	if n == 0 {
		out += " no curve"
	} else {
		m := n / 2
		out += fmt.Sprintf(" %s give %s (90 %% of casts %s)", format.Dwell(c.DwellMin[m]), u.Wall(c.WallMM[m]),
			format.Interval(u.Wall(c.Lower90[m]), u.Wall(c.Upper90[m])))
	}
	if drawable(c.TargetMM) {
		out += ", target " + u.Wall(c.TargetMM)
	}
	return out + "."
}
