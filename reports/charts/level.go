package charts

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// level is a horizontal line across the panel. Its label, if any, stands at the
// end of the line where it covers the fewest of the points to avoid.
type level struct {
	y              float64
	line           draw.LineStyle
	style          style
	label          string
	avoidX, avoidY [][]float64
}

func (l level) Plot(c draw.Canvas, p *plot.Plot) {
	if !drawable(l.y) || l.y < p.Y.Min || l.y > p.Y.Max {
		return
	}
	y := c.Y(p.Y.Norm(l.y))
	c.StrokeLine2(l.line, c.Min.X, y, c.Max.X, y)
	if l.label == "" {
		return
	}
	at := place(&c, p)
	var avoid []vg.Point
	for i := range min(len(l.avoidX), len(l.avoidY)) {
		runs(func(from, to int) {
			for k := from; k < to; k++ {
				avoid = append(avoid, at(l.avoidX[i][k], l.avoidY[i][k]))
			}
		}, len(l.avoidX[i]), l.avoidX[i], l.avoidY[i])
	}
	write(c, l.style.label, clay, l.spot(c, y, avoid), rightOf, l.label)
}

// spot is where the label's baseline begins: above or below the line, at its
// left or its right end, whichever covers the fewest points; the first of
// those equally good.
func (l level) spot(c draw.Canvas, y vg.Length, avoid []vg.Point) vg.Point {
	width, e := l.style.label.Width(l.label), l.style.label.Extents()
	above, below := y+2.5, y-e.Ascent-0.5
	left, right := c.Min.X+4, c.Max.X-width-2
	best, fewest := vg.Point{X: left, Y: above}, len(avoid)+1
	for _, at := range []vg.Point{{X: left, Y: above}, {X: right, Y: below}, {X: left, Y: below}, {X: right, Y: above}} {
		low, high := at.Y-e.Descent, at.Y+e.Ascent
		if low < c.Min.Y || high > c.Max.Y {
			continue
		}
		covered := 0
		for _, p := range avoid {
			if p.X > at.X-5 && p.X < at.X+width+5 && p.Y > low-1 && p.Y < high+1 {
				covered++
			}
		}
		if covered < fewest {
			best, fewest = at, covered
		}
	}
	return best
}
