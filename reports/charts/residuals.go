package charts

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"

	"moldwright/pipeline"
	"moldwright/pipeline/tables"
)

// residuals draws what the fit leaves over against mold age.
func residuals(s style, res pipeline.Result) (figure, bool) {
	p := split(res.Wall.Used, func(u tables.CastUsed) (float64, float64) {
		if u.AgeCasts == tables.NoCount {
			return tables.Absent(), u.ResidualZ
		}
		return float64(u.AgeCasts), u.ResidualZ
	})
	if p.all == 0 {
		return figure{}, false
	}
	lo, hi, _ := span(p.y)
	reach := max(3, math.Abs(lo), math.Abs(hi))
	for _, z := range p.oddY {
		reach = max(reach, min(math.Abs(z), 6)) // those somewhat far off are seen, a factor of ten is an arrow
	}
	x, y := castScale(p.x, p.oddX), around(-reach, reach, 6)
	ends := []float64{x.lo, x.hi}
	outside := 0
	for _, z := range append(append([]float64{}, p.y...), p.oddY...) {
		if math.Abs(z) > 2 {
			outside++
		}
	}
	return figure{
		name: "residuals", section: SectionWall,
		title: "Does the fit miss anything as molds age?",
		alt: fmt.Sprintf("What the fit leaves over, in residual standard deviations, against mold age. Of %s drawn, %d lie more than 2 from 0; about one in twenty is usual. %s",
			counted(p.drawn(), "cast", "casts"), outside, p.odd()),
		note: sentences("A good fit leaves a level cloud, about one cast in twenty outside the pale band. A slope or a bend would mean that ageing is not caught.",
			leftOut(p.drawn(), p.all, "casts", "tables/casts_used"), offScale(p.beyond(x, y), "cast", "casts")),
		shown: p.shown(), key: append(p.key(), keyEntry{bandSwatch(mist), "±2 standard deviations"}),
		body: grid{
			x: x, y: y, xLabel: "mold age, casts", yLabel: "measured less fitted, in residual standard deviations",
			cols: 1, panelHeight: 190,
			panels: []panel{{layers: []plot.Plotter{
				band{ends, []float64{-2, -2}, []float64{2, 2}, mist},
				curve{ends, []float64{0, 0}, fitPen()},
				marks{p.x, p.y, castMark()},
				marks{p.oddX, p.oddY, oddMark()},
			}}},
		},
	}, true
}
