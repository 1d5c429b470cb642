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

// forecasts are points of forecasts with what came of them, and their intervals.
type forecasts struct{ at, came, low, high []float64 }

func (f *forecasts) add(at, came, low, high float64) {
	f.at, f.came, f.low, f.high = append(f.at, at), append(f.came, came), append(f.low, low), append(f.high, high)
}

// some are at most so many of them.
func (f forecasts) some(most int) forecasts {
	if len(f.at) <= most {
		return f
	}
	kept := picked(len(f.at), most)
	return forecasts{taken(f.at, kept), taken(f.came, kept), taken(f.low, kept), taken(f.high, kept)}
}

// hindcastWalls sets forecasts of walls beside what was measured.
func hindcastWalls(_ style, res pipeline.Result) (figure, bool) {
	length := res.Settings.Units.Length()
	var held, missed forecasts
	for _, w := range res.Hindcast.Walls {
		if !drawable(w.ForecastMM) || !drawable(w.MeasuredMM) {
			continue
		}
		to := &held
		if w.MeasuredMM < w.Lower || w.MeasuredMM > w.Upper {
			to = &missed
		}
		to.add(length.Of(w.ForecastMM), length.Of(w.MeasuredMM), length.Of(w.Lower), length.Of(w.Upper))
	}
	all := len(held.at) + len(missed.at)
	if all == 0 {
		return figure{}, false
	}
	low, high, _ := span(held.at, missed.at, held.came)
	s := around(low, high, length.Of(1))
	held, missed = held.some(mostForecasts), missed.some(mostForecasts)
	drawn := len(held.at) + len(missed.at)
	outside := mark{diamond, clay, 2.4}
	g := grid{x: s, y: s, xLabel: "wall forecast, " + length.Name, yLabel: "wall measured later, " + length.Name, cols: 1, panelHeight: 230, panels: []panel{{layers: []plot.Plotter{
		ranges{held.at, held.low, held.high, upDown, pen(mist, 1.6)}, ranges{missed.at, missed.low, missed.high, upDown, pen(mist, 1.6)},
		curve{[]float64{s.lo, s.hi}, []float64{s.lo, s.hi}, pen(stone, 0.8)},
		marks{held.at, held.came, castMark()}, marks{missed.at, missed.came, outside},
	}}}}
	row, _ := hindcastRow(res, hindcast.WhatWall, 0.9)
	return figure{
		name: "hindcast_walls", section: SectionHindcast, title: "Did earlier forecasts of walls come true?",
		alt: fmt.Sprintf("Walls forecast at %s against walls measured later, %s. %s", counted(len(res.Hindcast.Origins), "past date", "past dates"),
			counted(all, "cast", "casts"), heldWords(row)),
		note: sentences("On the line a forecast came true to the hair; a pale bar is its 90 % interval. Each forecast knew only what was logged by its date.",
			leftOut(drawn, all, "forecasts", "report"), offScale(beyond(s, s, missed.at, missed.came), "wall", "walls")),
		shown: partly(drawn, all, "forecasts", throughLog),
		key: []keyEntry{{markSwatch(castMark()), "within its 90 % interval"}, {markSwatch(outside), "outside"},
			{uprightSwatch(pen(mist, 1.6)), "90 % interval"}, {lineSwatch(pen(stone, 0.8)), "as forecast"}},
		body: g,
	}, true
}

// direction is that of a bar.
type direction int

const (
	across direction = iota
	upDown
)

// ranges are bars from low to high at places of the other axis: intervals of
// forecasts. All share one path, which keeps the SVG small.
type ranges struct {
	at, low, high []float64
	direction     direction
	line          draw.LineStyle
}

func (l ranges) Plot(c draw.Canvas, p *plot.Plot) {
	at := place(&c, p)
	var bars [][]vg.Point
	runs(func(from, to int) {
		for i := from; i < to; i++ {
			ends := []vg.Point{at(l.low[i], l.at[i]), at(l.high[i], l.at[i])}
			if l.direction == upDown {
				ends = []vg.Point{at(l.at[i], l.low[i]), at(l.at[i], l.high[i])}
			}
			bars = append(bars, ends)
		}
	}, len(l.at), l.low, l.high, l.at)
	strokeAll(c, l.line, c.ClipLinesXY(bars...))
}

// hindcastLives sets forecasts of remaining casts beside what came: what the molds
// made until they ended, or have made so far.
func hindcastLives(_ style, res pipeline.Result) (figure, bool) {
	var ended, going forecasts
	farthest := 0.0
	for _, l := range res.Hindcast.Lives {
		if !drawable(l.P50) || !drawable(l.Came) {
			continue
		}
		to := &going
		if l.Ended {
			to = &ended
		}
		to.add(l.P50, l.Came, l.P10, l.P90)
		farthest = max(farthest, l.P50, l.Came)
	}
	all, endedAll, goingAll := len(ended.at)+len(going.at), len(ended.at), len(going.at)
	if all == 0 {
		return figure{}, false
	}
	ended, going = ended.some(mostForecasts), going.some(mostForecasts)
	drawn := len(ended.at) + len(going.at)
	s := over(farthest, 10)
	inUse := mark{triangle, ochre, 2.8}
	g := grid{x: s, y: s, xLabel: "further casts forecast", yLabel: "further casts made", cols: 1, panelHeight: 230, panels: []panel{{layers: []plot.Plotter{
		ranges{going.came, going.low, going.high, across, pen(hair, 0.8)}, ranges{ended.came, ended.low, ended.high, across, pen(mist, 2)},
		curve{[]float64{0, s.hi}, []float64{0, s.hi}, pen(stone, 0.8)},
		marks{going.at, going.came, inUse}, marks{ended.at, ended.came, mark{disc, cobalt, 2.4}},
	}}}}
	row, _ := hindcastRow(res, hindcast.WhatLife, 0.8)
	return figure{
		name: "hindcast_lives", section: SectionHindcast, title: "Did earlier forecasts of remaining casts come true?",
		alt: fmt.Sprintf("Remaining casts forecast at %s: %s of molds that have ended since, %s of molds still in use. %s", counted(len(res.Hindcast.Origins), "past date", "past dates"),
			counted(endedAll, "forecast", "forecasts"), counted(goingAll, "forecast", "forecasts"), heldWords(row)),
		note:  sentences("A bar is the 80 % interval of the forecast, a thin one that of a mold still in use: its triangle will come to lie higher.", leftOut(drawn, all, "forecasts", "report")),
		shown: partly(drawn, all, "forecasts", throughLog),
		key:   []keyEntry{{markSwatch(mark{disc, cobalt, 2.6}), "ended since"}, {markSwatch(mark{triangle, ochre, 3.2}), "still in use, made at least so many"}, {lineSwatch(pen(mist, 2)), "80 % interval"}, {lineSwatch(pen(stone, 0.8)), "as forecast"}},
		body:  g,
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
