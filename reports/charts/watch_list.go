package charts

import (
	"fmt"

	"gonum.org/v1/plot"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/watch"
)

const watchListName = "watch_list"

// watchList draws, for each flagged mold, the evidence that flagged it.
func watchList(s style, res pipeline.Result) (figure, bool) {
	var all []flaggedBy
	using, ended := flaggedCharts(res)
	for i, c := range append(using, ended...) {
		if t := c.Strongest(); hasPoint(t.AgeCasts, t.Share) {
			all = append(all, flaggedBy{c.Mold, t, tables.Absent(), i >= len(using)})
		}
	}
	if len(all) == 0 {
		return figure{}, false
	}
	shown := all[:min(len(all), mostMolds)]
	var ages, parts [][]float64
	for i := range shown {
		f := &shown[i]
		f.since = sinceAge(res.Watch.Molds, f.mold)
		f.trail.AgeCasts, f.trail.Share = thinned(f.trail.AgeCasts, f.trail.Share, mostSteps)
		ages, parts = append(ages, f.trail.AgeCasts), append(parts, f.trail.Share)
	}
	_, high, _ := span(parts...)
	x, y := castScale(ages...), over(max(high, 1)*1.12, 0.5)
	cols, height := shapeOf(len(shown))
	g := grid{x: x, y: y, xLabel: "mold age, casts", yLabel: "evidence, in parts of its limit", cols: cols, panelHeight: height}
	var alts []string
	hasSince := false
	for _, f := range shown {
		hasSince = hasSince || drawable(f.since)
		g.panels = append(g.panels, panel{
			heading: f.heading(),
			layers: append([]plot.Plotter{
				upright{f.since, sincePen()},
				level{y: 1, line: limitPen(), style: s},
			}, evidenceLayers(f.trail.AgeCasts, f.trail.Share, 1)...),
		})
		alts = append(alts, f.alt())
	}
	key := []keyEntry{
		{lineSwatch(fitPen()), "evidence"},
		{lineSwatch(limitPen()), "limit of a healthy mold"},
		{markSwatch(pastLimit()), "past the limit"},
	}
	if hasSince {
		key = append(key, keyEntry{uprightSwatch(sincePen()), "change began"})
	}
	return figure{
		name: watchListName, section: SectionWatch,
		title: "Which molds are wearing out early?",
		alt:   fmt.Sprintf("Evidence that flagged %s. ", counted(len(all), "mold", "molds")) + listed(alts, 8, "molds"),
		note: sentences("Each panel names what flagged its mold: wear that grew, walls thinner than its own past predicts, or rejects. "+
			"The line grows while that goes on and falls while it does not; past the dashed limit the mold is flagged.", leftOut(len(shown), len(all), "flagged molds", "tables/watch")),
		shown: partly(len(shown), len(all), "flagged molds", actionFirst), key: key, body: g,
	}, true
}

// flaggedBy is a flagged mold with its strongest evidence.
type flaggedBy struct {
	mold  string
	trail watch.Trail
	since float64
	ended bool
}

func (f flaggedBy) heading() string {
	if f.ended {
		return f.mold + " (ended): " + f.trail.What
	}
	return f.mold + ": " + f.trail.What
}

func (f flaggedBy) alt() string {
	last := tables.Absent()
	for _, v := range f.trail.Share {
		if drawable(v) {
			last = v
		}
	}
	name := short(f.mold)
	if f.ended {
		name += " (ended)"
	}
	out := fmt.Sprintf("%s: %s, at %s times its limit", name, f.trail.What, format.Fixed(last, 1))
	if drawable(f.since) {
		out += ", change began at " + format.Casts(f.since)
	}
	return out + "."
}

// pastLimit marks a cast after which the evidence was past its limit.
func pastLimit() mark { return mark{diamond, clay, 2.6} }

// evidenceLayers are a line of evidence whose points change their shape past the
// limit.
func evidenceLayers(ages, values []float64, limit float64) []plot.Plotter {
	var below, above marks
	below.mark, above.mark = mark{disc, cobalt, 1.2}, pastLimit()
	for i, v := range values {
		to := &below
		if drawable(v) && drawable(limit) && limit > 0 && v >= limit {
			to = &above
		}
		to.x, to.y = append(to.x, ages[i]), append(to.y, v)
	}
	return []plot.Plotter{curve{ages, values, fitPen()}, below, above}
}

func sinceAge(molds []tables.Watch, name string) float64 {
	for _, m := range molds {
		if m.Mold == name && m.Flagged && m.SinceAgeCasts != tables.NoCount {
			return float64(m.SinceAgeCasts)
		}
	}
	return tables.Absent()
}
