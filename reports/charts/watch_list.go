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

// watchList draws the running sums of the flagged molds.
func watchList(s style, res pipeline.Result) (figure, bool) {
	var all []watch.Chart
	for _, c := range res.Watch.Charts {
		if hasPoint(c.AgeCasts, c.Sum) {
			all = append(all, c)
		}
	}
	if len(all) == 0 {
		return figure{}, false
	}
	shown := all[:min(len(all), mostMolds)]
	var ages, sums [][]float64
	for _, c := range shown {
		ages = append(ages, c.AgeCasts)
		sums = append(sums, c.Sum, []float64{c.Limit})
	}
	_, high, _ := span(sums...)
	x, y := castScale(ages...), over(high*1.12, 1)
	cols, height := shapeOf(len(shown))
	g := grid{x: x, y: y, xLabel: "mold age, casts", yLabel: "running sum of forecast errors, standard deviations", cols: cols, panelHeight: height}
	var alts []string
	hasSince := false
	for _, c := range shown {
		since := sinceAge(res.Watch.Molds, c.Mold)
		hasSince = hasSince || drawable(since)
		g.panels = append(g.panels, panel{
			heading: watchHeading(c),
			layers: []plot.Plotter{
				upright{since, sincePen()},
				level{y: c.Limit, line: limitPen(), style: s},
				curve{c.AgeCasts, c.Sum, fitPen()},
				marks{c.AgeCasts, c.Sum, mark{disc, cobalt, 1.3}},
			},
		})
		alts = append(alts, watchAlt(c, since))
	}
	key := []keyEntry{
		{lineSwatch(fitPen()), "running sum"},
		{lineSwatch(limitPen()), "limit of a healthy mold"},
	}
	if hasSince {
		key = append(key, keyEntry{uprightSwatch(sincePen()), "change began"})
	}
	return figure{
		name: watchListName, section: SectionWatch,
		title: "Which molds are wearing out early?",
		alt:   fmt.Sprintf("Running sums of forecast errors of %s. ", counted(len(all), "flagged mold", "flagged molds")) + listed(alts, 8, "molds"),
		note: sentences("The sum grows while walls come out thinner than forecast from the mold's own past, and is 0 while they don't. Above the dashed limit the mold is flagged; "+
			"a mold below it is here for other evidence, told on the watch list.", leftOut(len(shown), len(all), "flagged molds", "tables/watch")),
		key: key, body: g,
	}, true
}

// watchHeading says where the sum is not what flagged the mold, so that a
// quiet line under the limit does not puzzle.
func watchHeading(c watch.Chart) string {
	if n := len(c.Sum); n > 0 && c.Sum[n-1] <= c.Limit {
		if c.FastNow() {
			return c.Mold + ", flagged by its wear"
		}
		return c.Mold + ", flagged by other evidence"
	}
	return c.Mold
}

func sinceAge(molds []tables.Watch, name string) float64 {
	for _, m := range molds {
		if m.Mold == name && m.Flagged && m.SinceAgeCasts != tables.NoCount {
			return float64(m.SinceAgeCasts)
		}
	}
	return tables.Absent()
}

func watchAlt(c watch.Chart, since float64) string {
	last := tables.Absent()
	for _, v := range c.Sum {
		if drawable(v) {
			last = v
		}
	}
	out := fmt.Sprintf("%s: sum %s, limit %s", short(c.Mold), format.Fixed(last, 1), format.Fixed(c.Limit, 1))
	if drawable(since) {
		out += ", change began at " + format.Casts(since)
	}
	return out + "."
}
