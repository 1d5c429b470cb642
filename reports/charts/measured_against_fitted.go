package charts

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"moldwright/pipeline"
	"moldwright/pipeline/tables"
)

// fullWeight is the weight in the fit below which a cast is shown as far off.
const fullWeight = 0.999

// castPoints are points of casts, the far-off ones apart.
type castPoints struct {
	x, y       []float64 // ordinary
	oddX, oddY []float64 // far off, and counted less in the fit
	oddWeight  []float64
	all, odds  int // casts, and far-off casts, drawn or not
}

// split places every cast that has both coordinates.
func split(used []tables.CastUsed, at func(tables.CastUsed) (x, y float64)) castPoints {
	var p castPoints
	for _, u := range used {
		x, y := at(u)
		if !drawable(x) || !drawable(y) {
			continue
		}
		p.all++
		if u.Weight < fullWeight {
			p.oddX, p.oddY, p.oddWeight = append(p.oddX, x), append(p.oddY, y), append(p.oddWeight, u.Weight)
		} else {
			p.x, p.y = append(p.x, x), append(p.y, y)
		}
	}
	p.x, p.y = thinned(p.x, p.y, mostCasts)
	p.odds = len(p.oddX)
	if p.odds > mostOdd {
		at := make([]int, p.odds)
		for i := range at {
			at[i] = i
		}
		slices.SortStableFunc(at, func(a, b int) int { return cmp.Compare(p.oddWeight[a], p.oddWeight[b]) })
		at = at[:mostOdd]
		slices.Sort(at)
		p.oddX, p.oddY = taken(p.oddX, at), taken(p.oddY, at)
	}
	return p
}

// shown says on the chart how many of all casts are drawn.
func (p castPoints) shown() string {
	return both(partly(len(p.x), p.all-p.odds, "casts", throughLog), partly(len(p.oddX), p.odds, "far-off ones", "the least trusted"))
}

func (p castPoints) beyond(x, y scale) int {
	return beyond(x, y, p.x, p.y) + beyond(x, y, p.oddX, p.oddY)
}

func (p castPoints) drawn() int { return len(p.x) + len(p.oddX) }

// key explains the two marks, the second where there is one.
func (p castPoints) key() []keyEntry {
	out := []keyEntry{{markSwatch(castMark()), "cast"}}
	if len(p.oddX) > 0 {
		out = append(out, keyEntry{markSwatch(oddMark()), "far off, counts less in the fit"})
	}
	return out
}

// odd tells how many casts were found far off.
func (p castPoints) odd() string {
	if p.odds == 0 {
		return "No cast was so far off that it counts less in the fit."
	}
	return counted(p.odds, "cast counts", "casts count") + " less in the fit, being far off as after a typing error."
}

// measuredAgainstFitted draws the measured wall of every cast against its fitted one.
func measuredAgainstFitted(s style, res pipeline.Result) (figure, bool) {
	length := res.Settings.Units.Length()
	p := split(res.Wall.Used, func(u tables.CastUsed) (float64, float64) { return length.Of(u.FittedMM), length.Of(u.WallMM) })
	if p.all == 0 {
		return figure{}, false
	}
	lo, hi, _ := span(p.x, p.y)
	if len(p.x) == 0 {
		lo, hi, _ = span(p.oddX, p.oddY)
	}
	x := fromZeroIfNear(lo, hi, length.Of(1))
	y := scale{lo: min(0.9*x.lo, x.lo), hi: max(1.1*x.hi, x.hi)}
	ends := []float64{x.lo, x.hi}
	times := func(f float64) []float64 { return []float64{f * x.lo, f * x.hi} }
	within := 0
	for _, u := range res.Wall.Used {
		if drawable(u.FittedMM) && drawable(u.WallMM) && u.WallMM >= 0.9*u.FittedMM && u.WallMM <= 1.1*u.FittedMM {
			within++
		}
	}
	return figure{
		name: "measured_against_fitted", section: SectionWall,
		title: "Do the measured walls agree with the fitted ones?",
		alt: fmt.Sprintf("Measured against fitted wet wall of %s, from %s. %d lie within 10 %% of the fitted wall. %s",
			counted(p.all, "cast", "casts"), intervalIn(res.Settings.Units, lo, hi), within, p.odd()),
		note: sentences("On the line both agree; the pale band is 10 % to either side.", p.odd(),
			leftOut(p.drawn(), p.all, "casts", "tables/casts_used"), offScale(p.beyond(x, y), "cast", "casts")),
		shown: p.shown(), key: p.key(),
		body: grid{
			x: x, y: y, xLabel: "fitted wet wall, " + length.Name, yLabel: "measured wet wall, " + length.Name,
			cols: 1, panelHeight: 250, rightRoom: s.label.Width("+10 %") + 4,
			panels: []panel{{layers: []plot.Plotter{
				band{ends, times(0.9), times(1.1), mist},
				marks{p.x, p.y, castMark()},
				curve{ends, ends, fitPen()},
				marks{p.oddX, p.oddY, oddMark()},
				beside{1.1 * x.hi, "+10 %", s}, beside{x.hi, "equal", s}, beside{0.9 * x.hi, "−10 %", s},
			}}},
		},
	}, true
}

// beside is a label right of the panel at the height of a value.
type beside struct {
	y     float64
	label string
	style style
}

func (b beside) Plot(c draw.Canvas, p *plot.Plot) {
	if !drawable(b.y) || b.y < p.Y.Min || b.y > p.Y.Max {
		return
	}
	write(c, b.style.label, cobalt, vg.Point{X: c.Max.X + 3, Y: c.Y(p.Y.Norm(b.y)) - middle(b.style.label)}, rightOf, b.label)
}
