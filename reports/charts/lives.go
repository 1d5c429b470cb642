package charts

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
)

// lives draws the share of each kind's molds that live past an age.
func lives(s style, res pipeline.Result) (figure, bool) {
	var all []life.Curve
	for _, c := range res.Life.Curves {
		if hasPoint(c.AgeCasts, c.Survival) || hasPoint(c.StepAge, c.StepShare) {
			all = append(all, c)
		}
	}
	if len(all) == 0 {
		return figure{}, false
	}
	cols, height := shapeOf(len(all))
	g := grid{ownX: true, y: scale{lo: 0, hi: 1.04, percent: true}, xLabel: "mold age, casts", yLabel: "molds that live past this age, %", cols: cols, panelHeight: height}
	var alts []string
	for _, c := range all {
		ended := ""
		for _, f := range res.Life.Fits {
			if f.Kind == c.Kind && f.Ended != tables.NoCount && f.InUse != tables.NoCount {
				ended = fmt.Sprintf(" (%d ended, %d not)", f.Ended, f.InUse)
			}
		}
		x := castScale(c.AgeCasts, c.StepAge)
		stepAge, stepShare := thinned(c.StepAge, c.StepShare, mostSteps)
		g.panels = append(g.panels, panel{
			x: x, ticks: x.ticksWithin(s.label, figureWidth/vg.Length(cols)-40, 7),
			heading: kindName(c.Kind) + ended,
			layers: []plot.Plotter{
				band{c.AgeCasts, c.Lower80, c.Upper80, mist},
				curve{c.AgeCasts, c.Survival, fitPen()},
				steps{stepAge, stepShare, pen(clay, 1.2)},
			},
		})
		alts = append(alts, kindName(c.Kind)+ended+": "+halfLife(c))
	}
	return figure{
		name: "lives", section: SectionLife,
		title: "How long do molds of each kind live?",
		alt:   "Share of molds that live past an age, by kind. " + listed(alts, 6, "kinds"),
		note: "Steps fall where the log shows a mold that ended worn or broken, and end with the oldest mold; the curve is the fitted Weibull law, " +
			"which common practice steadies where few molds have ended. Each panel has its own scale of age.",
		key: []keyEntry{
			{stepSwatch(pen(clay, 1.2)), "in the log (product limit)"},
			{lineSwatch(fitPen()), "fitted Weibull law"},
			{bandSwatch(mist), "80 % interval of the law"},
		},
		body: g,
	}, true
}

func kindName(kind string) string {
	if kind == "" {
		return "kind not given"
	}
	return kind
}

// halfLife reads from the curve the first age that no more than half of the molds pass.
func halfLife(c life.Curve) string {
	for i := range min(len(c.AgeCasts), len(c.Survival)) {
		if c.Survival[i] <= 0.5 {
			return "half have ended by about " + format.Casts(c.AgeCasts[i]) + "."
		}
	}
	if n := min(len(c.AgeCasts), len(c.Survival)); n > 0 {
		return format.Percent(c.Survival[n-1]) + " live past " + format.Casts(c.AgeCasts[n-1]) + "."
	}
	return "no fitted law."
}
