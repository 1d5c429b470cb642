package charts

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// The layers of a panel. Each is a plot.Plotter that keeps inside the panel and
// leaves out what is absent (NaN) or infinite.

// place returns the function from data to canvas. Values far off the axis are
// drawn in to a few widths of it, so that lengths stay finite.
func place(c *draw.Canvas, p *plot.Plot) func(x, y float64) vg.Point {
	tame := func(v, lo, hi float64) float64 {
		width := hi - lo
		return min(max(v, lo-1000*width), hi+1000*width)
	}
	return func(x, y float64) vg.Point {
		return vg.Point{
			X: c.X(p.X.Norm(tame(x, p.X.Min, p.X.Max))),
			Y: c.Y(p.Y.Norm(tame(y, p.Y.Min, p.Y.Max))),
		}
	}
}

// runs calls f for each longest run of indices below n for which all slices hold a drawable number.
func runs(f func(from, to int), n int, columns ...[]float64) {
	from := 0
	for i := range n + 1 {
		ok := i < n
		for _, col := range columns {
			ok = ok && i < len(col) && drawable(col[i])
		}
		if ok {
			continue
		}
		if i > from {
			f(from, i)
		}
		from = i + 1
	}
}

// curve is a line through points. A lone point is drawn as a short dash.
type curve struct {
	x, y []float64
	line draw.LineStyle
}

func (l curve) Plot(c draw.Canvas, p *plot.Plot) {
	at := place(&c, p)
	runs(func(from, to int) {
		pts := make([]vg.Point, 0, to-from)
		for i := from; i < to; i++ {
			pts = append(pts, at(l.x[i], l.y[i]))
		}
		if len(pts) == 1 {
			pts = []vg.Point{{X: pts[0].X - 4, Y: pts[0].Y}, {X: pts[0].X + 4, Y: pts[0].Y}}
		}
		c.StrokeLines(l.line, c.ClipLinesXY(pts)...)
	}, len(l.x), l.x, l.y)
}

// steps is a line that keeps its height until the next point.
type steps struct {
	x, y []float64
	line draw.LineStyle
}

func (l steps) Plot(c draw.Canvas, p *plot.Plot) {
	var x, y []float64
	runs(func(from, to int) {
		for i := from; i < to; i++ {
			if len(x) > 0 {
				x, y = append(x, l.x[i]), append(y, y[len(y)-1])
			}
			x, y = append(x, l.x[i]), append(y, l.y[i])
		}
	}, len(l.x), l.x, l.y)
	curve{x, y, l.line}.Plot(c, p)
}

// band fills the room between two lines. A lone pair is drawn as an upright bar.
type band struct {
	x, low, high []float64
	fill         tint
}

func (b band) Plot(c draw.Canvas, p *plot.Plot) {
	at := place(&c, p)
	runs(func(from, to int) {
		var pts []vg.Point
		if to-from == 1 {
			low, high := at(b.x[from], b.low[from]), at(b.x[from], b.high[from])
			pts = []vg.Point{{X: low.X - 4, Y: low.Y}, {X: low.X + 4, Y: low.Y}, {X: high.X + 4, Y: high.Y}, {X: high.X - 4, Y: high.Y}}
		} else {
			for i := from; i < to; i++ {
				pts = append(pts, at(b.x[i], b.low[i]))
			}
			for i := to - 1; i >= from; i-- {
				pts = append(pts, at(b.x[i], b.high[i]))
			}
		}
		if pts = c.ClipPolygonXY(pts); len(pts) > 2 {
			c.FillPolygon(b.fill, pts)
		}
	}, len(b.x), b.x, b.low, b.high)
}

// upright is a vertical line through the panel.
type upright struct {
	x    float64
	line draw.LineStyle
}

func (l upright) Plot(c draw.Canvas, p *plot.Plot) {
	if !drawable(l.x) || l.x < p.X.Min || l.x > p.X.Max {
		return
	}
	x := c.X(p.X.Norm(l.x))
	c.StrokeLine2(l.line, x, c.Min.Y, x, c.Max.Y)
}

// beyond counts the points off the scales.
func beyond(x, y scale, xs, ys []float64) int {
	n := 0
	for i := range min(len(xs), len(ys)) {
		if drawable(xs[i]) && drawable(ys[i]) && (xs[i] < x.lo || xs[i] > x.hi || ys[i] < y.lo || ys[i] > y.hi) {
			n++
		}
	}
	return n
}
