package charts

import (
	"fmt"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/watch"
)

// flaggedMolds draws one chart a flagged mold in use: what was predicted, what came,
// and what the charts of evidence make of it. Nobody can act on a mold that has ended;
// the watch list shows its evidence.
func flaggedMolds(s style, res pipeline.Result) []figure {
	var out []figure
	using, _ := flaggedCharts(res)
	for _, c := range using {
		if len(out) == mostFlagged {
			break
		}
		if !hasPoint(c.AgeCasts, c.WallMM) || !hasPoint(c.AgeCasts, c.PredictedMM) {
			continue
		}
		out = append(out, flaggedMold(s, res, c, len(out)+1))
	}
	return out
}

func flaggedMold(s style, res pipeline.Result, c watch.Chart, number int) figure {
	casts := len(c.AgeCasts)
	c = latestOf(c)
	row := watchRow(res.Watch.Molds, c.Mold)
	since := sinceAge(res.Watch.Molds, c.Mold)
	x := castScale(c.AgeCasts, c.RejectAge)
	length := res.Settings.Units.Length()
	body := stack{predictedAndCame(chartIn(length, c), length, x, since)}
	if drawable(c.WearLimit) {
		body = append(body, evidencePanel(s, x, since, c.AgeCasts, c.Wear, c.WearLimit, "evidence that wear grew, natural log of its odds", ""))
	}
	body = append(body, evidencePanel(s, x, since, c.AgeCasts, c.Sum, c.Limit, "running sum of thin walls, standard deviations", ""))
	if drawable(c.RejectLimit) && c.RejectLimit > 0 {
		body = append(body, evidencePanel(s, x, since, c.RejectAge, shares(c.Rejects, c.RejectLimit), 1, "running sum of rejects, parts of the limit", "mold age, casts"))
	} else if g, ok := body[len(body)-1].(grid); ok {
		g.xLabel = "mold age, casts"
		body[len(body)-1] = g
	}
	key := []keyEntry{
		{markSwatch(mark{disc, cobalt, 1.6}), "measured wall"},
		{markSwatch(thinMark()), "thinner than the band"},
		{lineSwatch(pen(stone, 1)), "predicted from its casts before"},
		{bandSwatch(mist), "90 % of walls"},
		{lineSwatch(limitPen()), "limit of a healthy mold"},
		{markSwatch(pastLimit()), "evidence past it"},
	}
	if drawable(since) {
		key = append(key, keyEntry{uprightSwatch(sincePen()), "change began"})
	}
	alt := fmt.Sprintf("Evidence on %s over %s", short(c.Mold), counted(casts, "measured cast", "measured casts"))
	if drawable(since) {
		alt += ", change began at " + format.Casts(since)
	}
	alt += "."
	if found := foundWords(row); found != "" {
		alt += " " + strings.TrimSpace(found)
	}
	note := foundWords(row) + "Above: each wall against what the mold's own casts before it led to expect at its dwell. Below: evidence that grows while walls come out thin, or pieces are rejected; past the dashed limit the mold is flagged."
	return figure{
		name: fmt.Sprintf("watch_mold_%d", number), section: SectionWatch,
		title: "Why is " + shorten(s.title, c.Mold, 220) + " on the watch list?",
		alt:   alt, note: sentences(note, leftOut(len(c.AgeCasts), casts, "casts, the latest", "tables/casts_used")),
		shown: partly(len(c.AgeCasts), casts, "casts", "the latest"), key: key, body: body,
	}
}

// latestOf keeps of a mold's chart as many of the latest casts as can be told apart.
func latestOf(c watch.Chart) watch.Chart {
	last := func(xs []float64) []float64 { return xs[max(0, len(xs)-mostSteps):] }
	c.AgeCasts, c.Sum, c.Wear = last(c.AgeCasts), last(c.Sum), last(c.Wear)
	c.WallMM, c.PredictedMM, c.Lower90, c.Upper90 = last(c.WallMM), last(c.PredictedMM), last(c.Lower90), last(c.Upper90)
	c.RejectAge, c.Rejects = last(c.RejectAge), last(c.Rejects)
	return c
}

// foundWords are the evidence and what to do about it.
func foundWords(row tables.Watch) string {
	out := ""
	if row.Evidence != "" {
		out += "Found: " + clean(row.Evidence) + ". "
	}
	if row.DoNext != "" {
		out += "What to do: " + clean(row.DoNext) + ". "
	}
	return out
}

// thinMark is a wall below the band of its prediction.
func thinMark() mark { return mark{square, clay, 2.2} }

// splitThin sets the walls that came out thinner than their band apart.
func splitThin(c watch.Chart) (usual, thin marks) {
	usual.mark, thin.mark = mark{disc, cobalt, 1.6}, thinMark()
	for i, w := range c.WallMM {
		to := &usual
		if i < len(c.Lower90) && drawable(c.Lower90[i]) && w < c.Lower90[i] {
			to = &thin
		}
		to.x, to.y = append(to.x, c.AgeCasts[i]), append(to.y, w)
	}
	return usual, thin
}

func watchRow(molds []tables.Watch, name string) tables.Watch {
	for _, m := range molds {
		if m.Mold == name {
			return m
		}
	}
	return tables.Watch{}
}

func predictedAndCame(c watch.Chart, length format.Unit, x scale, since float64) grid {
	low, high, _ := span(c.WallMM, c.Lower90, c.Upper90)
	usual, thin := splitThin(c)
	return grid{
		x: x, y: around(low, high, length.Of(0.5)), yLabel: "wall, " + length.Name, cols: 1, panelHeight: 120,
		panels: []panel{{layers: []plot.Plotter{
			band{c.AgeCasts, c.Lower90, c.Upper90, mist},
			upright{since, sincePen()},
			curve{c.AgeCasts, c.PredictedMM, pen(stone, 1)},
			usual, thin,
		}}},
	}
}

func evidencePanel(s style, x scale, since float64, ages, values []float64, limit float64, yLabel, xLabel string) grid {
	shown := make([]float64, len(values))
	for i, v := range values {
		shown[i] = v
		if drawable(v) {
			shown[i] = max(v, 0) // odds below one are no evidence
		}
	}
	high := 0.0
	if drawable(limit) {
		high = limit
	}
	for _, v := range shown {
		if drawable(v) {
			high = max(high, v)
		}
	}
	return grid{
		x: x, y: over(high*1.12, 1), yLabel: yLabel, xLabel: xLabel, cols: 1, panelHeight: vg.Length(62),
		panels: []panel{{layers: append([]plot.Plotter{
			upright{since, sincePen()},
			level{y: limit, line: limitPen(), style: s},
		}, evidenceLayers(ages, shown, limit)...)}},
	}
}

func shares(values []float64, of float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v / of
	}
	return out
}

// leftWords are casts left as a reader says them.
func leftWords(p watch.Place) string {
	if !drawable(p.RemainingP50) {
		return "–"
	}
	if !drawable(p.RemainingP10) || !drawable(p.RemainingP90) {
		return format.Fixed(p.RemainingP50, 0)
	}
	return fmt.Sprintf("%s (%s to %s)", format.Fixed(p.RemainingP50, 0), format.Fixed(p.RemainingP10, 0), format.Fixed(p.RemainingP90, 0))
}
