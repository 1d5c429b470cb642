package charts

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/watch"
)

// mostFlagged is how many flagged molds get a chart of their own.
const mostFlagged = 8

// flaggedMolds draws one chart a flagged mold: what was predicted, what came, and
// what the charts of evidence make of it.
func flaggedMolds(s style, res pipeline.Result) []figure {
	var out []figure
	for _, c := range res.Watch.Charts {
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
	row := watchRow(res.Watch.Molds, c.Mold)
	since := sinceAge(res.Watch.Molds, c.Mold)
	x := castScale(c.AgeCasts, c.RejectAge)
	body := stack{predictedAndCame(c, x, since)}
	if drawable(c.WearLimit) {
		body = append(body, evidencePanel(s, x, since, c.AgeCasts, c.Wear, c.WearLimit, "evidence that wear grew, log of odds", ""))
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
		{lineSwatch(pen(stone, 1)), "predicted from its casts before"},
		{bandSwatch(mist), "90 % of walls"},
		{lineSwatch(limitPen()), "limit of a healthy mold"},
	}
	if drawable(since) {
		key = append(key, keyEntry{uprightSwatch(sincePen()), "change began"})
	}
	alt := fmt.Sprintf("Evidence on %s over %s", short(c.Mold), counted(len(c.AgeCasts), "measured cast", "measured casts"))
	if drawable(since) {
		alt += ", change began at " + format.Casts(since)
	}
	alt += "."
	if row.Evidence != "" {
		alt += " Found: " + clean(row.Evidence) + "."
	}
	if row.DoNext != "" {
		alt += " What to do: " + clean(row.DoNext) + "."
	}
	note := "Above: each wall against what the mold's own casts before it led to expect at its dwell. Below: evidence that grows while walls come out thin, or pieces are rejected; past the dashed limit the mold is flagged."
	return figure{
		name: fmt.Sprintf("watch_mold_%d", number), section: SectionWatch,
		title: "What became of " + shorten(s.title, c.Mold, 260) + "?",
		alt:   alt, note: note, key: key, body: body,
	}
}

func watchRow(molds []tables.Watch, name string) tables.Watch {
	for _, m := range molds {
		if m.Mold == name {
			return m
		}
	}
	return tables.Watch{}
}

func predictedAndCame(c watch.Chart, x scale, since float64) grid {
	low, high, _ := span(c.WallMM, c.Lower90, c.Upper90)
	return grid{
		x: x, y: around(low, high, 0.5), yLabel: "wall, mm", cols: 1, panelHeight: 120,
		panels: []panel{{layers: []plot.Plotter{
			band{c.AgeCasts, c.Lower90, c.Upper90, mist},
			upright{since, sincePen()},
			curve{c.AgeCasts, c.PredictedMM, pen(stone, 1)},
			marks{c.AgeCasts, c.WallMM, mark{disc, cobalt, 1.6}},
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
		panels: []panel{{layers: []plot.Plotter{
			upright{since, sincePen()},
			level{y: limit, line: limitPen(), style: s},
			curve{ages, shown, fitPen()},
			marks{ages, shown, mark{disc, cobalt, 1.1}},
		}}},
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
