package charts

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/hindcast"
	"moldwright/pipeline/tables"
)

// mostForecasts is how many points a chart of forecasts shows; more are thinned evenly.
const mostForecasts = 1500

// hindcastWalls sets forecasts of walls beside what was measured.
func hindcastWalls(_ style, res pipeline.Result) (figure, bool) {
	length := res.Settings.Units.Length()
	var in, out [2][]float64
	for _, w := range res.Hindcast.Walls {
		if !drawable(w.ForecastMM) || !drawable(w.MeasuredMM) {
			continue
		}
		to := &in
		if w.MeasuredMM < w.Lower || w.MeasuredMM > w.Upper {
			to = &out
		}
		to[0], to[1] = append(to[0], length.Of(w.ForecastMM)), append(to[1], length.Of(w.MeasuredMM))
	}
	if len(in[0])+len(out[0]) == 0 {
		return figure{}, false
	}
	low, high, _ := span(in[0], out[0], in[1])
	s := around(low, high, length.Of(1))
	inX, inY := thinned(in[0], in[1], mostForecasts)
	outX, outY := thinned(out[0], out[1], mostForecasts)
	g := grid{x: s, y: s, xLabel: "wall forecast, " + length.Name, yLabel: "wall measured later, " + length.Name, cols: 1, panelHeight: 230, panels: []panel{{layers: []plot.Plotter{
		curve{[]float64{s.lo, s.hi}, []float64{s.lo, s.hi}, pen(stone, 0.8)},
		marks{inX, inY, castMark()}, marks{outX, outY, mark{diamond, clay, 2.4}},
	}}}}
	row, _ := hindcastRow(res, hindcast.WhatWall, 0.9)
	return figure{
		name: "hindcast_walls", section: SectionHindcast, title: "Did earlier forecasts of walls come true?",
		alt: fmt.Sprintf("Walls forecast at %s against walls measured later, %s. %s", counted(len(res.Hindcast.Origins), "past date", "past dates"),
			counted(len(in[0])+len(out[0]), "cast", "casts"), heldWords(row)),
		note: sentences("On the line a forecast came true to the hair. Each forecast knew only what was logged by its date.",
			leftOut(len(inX)+len(outX), len(in[0])+len(out[0]), "forecasts", "report"), offScale(beyond(s, s, outX, outY), "wall", "walls")),
		key:  []keyEntry{{markSwatch(castMark()), "within its 90 % interval"}, {markSwatch(mark{diamond, clay, 2.8}), "outside"}, {lineSwatch(pen(stone, 0.8)), "as forecast"}},
		body: g,
	}, true
}

// spans are horizontal bars, the intervals of forecasts.
type spans struct {
	low, high, y []float64
	line         draw.LineStyle
}

func (l spans) Plot(c draw.Canvas, p *plot.Plot) {
	at := place(&c, p)
	runs(func(from, to int) {
		for i := from; i < to; i++ {
			c.StrokeLines(l.line, c.ClipLinesXY([]vg.Point{at(l.low[i], l.y[i]), at(l.high[i], l.y[i])})...)
		}
	}, len(l.y), l.low, l.high, l.y)
}

// hindcastLives sets forecasts of remaining casts beside what came: what the molds
// made until they ended, or have made so far.
func hindcastLives(_ style, res pipeline.Result) (figure, bool) {
	var ended, going [2][]float64
	var low, high, at []float64
	farthest := 0.0
	for _, l := range res.Hindcast.Lives {
		if !drawable(l.P50) || !drawable(l.Came) {
			continue
		}
		to := &going
		if l.Ended {
			to = &ended
			low, high, at = append(low, l.P10), append(high, l.P90), append(at, l.Came)
		}
		to[0], to[1] = append(to[0], l.P50), append(to[1], l.Came)
		farthest = max(farthest, l.P50, l.Came)
	}
	if len(ended[0])+len(going[0]) == 0 {
		return figure{}, false
	}
	s := over(farthest, 10)
	g := grid{x: s, y: s, xLabel: "further casts forecast", yLabel: "further casts made", cols: 1, panelHeight: 230, panels: []panel{{layers: []plot.Plotter{
		curve{[]float64{0, s.hi}, []float64{0, s.hi}, pen(stone, 0.8)},
		spans{low, high, at, pen(mist, 2)},
		marks{going[0], going[1], mark{triangle, ochre, 2.8}}, marks{ended[0], ended[1], mark{disc, cobalt, 2.4}},
	}}}}
	row, _ := hindcastRow(res, hindcast.WhatLife, 0.8)
	return figure{
		name: "hindcast_lives", section: SectionHindcast, title: "Did earlier forecasts of remaining casts come true?",
		alt: fmt.Sprintf("Remaining casts forecast at %s: %s of molds that have ended since, %s of molds still in use. %s", counted(len(res.Hindcast.Origins), "past date", "past dates"),
			counted(len(ended[0]), "forecast", "forecasts"), counted(len(going[0]), "forecast", "forecasts"), heldWords(row)),
		note: "A bar is the 80 % interval of the forecast. A triangle is a mold still in use: it will come to lie higher.",
		key:  []keyEntry{{markSwatch(mark{disc, cobalt, 2.6}), "ended since"}, {markSwatch(mark{triangle, ochre, 3.2}), "still in use, made at least so many"}, {lineSwatch(pen(mist, 2)), "80 % interval"}, {lineSwatch(pen(stone, 0.8)), "as forecast"}},
		body: g,
	}, true
}

func hindcastRow(res pipeline.Result, what string, level float64) (tables.Hindcast, bool) {
	for _, r := range res.Hindcast.Rows {
		if r.What == what && r.Level == level {
			return r, true
		}
	}
	return tables.Hindcast{Share: tables.Absent()}, false
}

func heldWords(r tables.Hindcast) string {
	if !drawable(r.Share) {
		return ""
	}
	return fmt.Sprintf("%s intervals held %s.", format.Percent(r.Level), format.Percent(r.Share))
}
