package charts

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// panel is one small multiple.
type panel struct {
	heading string
	layers  []plot.Plotter
	x       scale  // used where the grid's panels have their own horizontal scales
	ticks   []tick // likewise
}

// grid is a figure body of panels in aligned rows and columns, with a shared
// vertical scale, and a shared horizontal one unless ownX.
type grid struct {
	x, y           scale
	xLabel, yLabel string
	panels         []panel
	cols           int
	panelHeight    vg.Length
	ownX           bool      // each panel has its own x and ticks
	leftRoom       vg.Length // least room for the numbers of the vertical axis
	rightRoom      vg.Length // kept free beside the panels for labels of lines
}

// shapeOf gives a grid of n panels its columns, and a height of panel that lets
// the whole stay on a page.
func shapeOf(n int) (cols int, panelHeight vg.Length) {
	switch {
	case n <= 1:
		return 1, 210
	case n == 2:
		return 2, 150
	case n == 4:
		return 2, 120
	case n <= 9:
		return 3, max(100, 130-vg.Length(n)*3)
	case n <= 16:
		return 4, 84
	}
	return 4, 60
}

const tickLength = vg.Length(3)

func (g grid) rows() int { return (len(g.panels) + g.cols - 1) / g.cols }

func (g grid) headingHeight() vg.Length {
	for _, p := range g.panels {
		if p.heading != "" {
			return lineHeight + 1
		}
	}
	return 0
}

// rowGap is the room between a panel and the heading of the one below it.
func (g grid) rowGap() vg.Length {
	if g.ownX {
		return lineHeight + tickLength + 4
	}
	return 9
}

func (g grid) height(style) vg.Length {
	rows := vg.Length(g.rows())
	above := lineHeight + 4 // the vertical axis's label
	below := tickLength + lineHeight
	if g.xLabel != "" {
		below += lineHeight
	}
	return above + rows*(g.headingHeight()+g.panelHeight) + (rows-1)*g.rowGap() + below
}

// layout is the measures that all panels of a grid share.
type layout struct {
	yTicks, xTicks []tick
	left, right    vg.Length // margins beside the panels
	gap, width     vg.Length // between two columns, and of a panel
}

func (g grid) layout(s style, total vg.Length) layout {
	l := layout{yTicks: g.y.ticks(max(2, min(6, int(g.panelHeight/18))))}
	l.left = max(g.leftRoom, widest(s.label, l.yTicks)+tickLength+3)
	l.right, l.gap = g.rightRoom+4, 12
	widthFor := func() vg.Length {
		return (total - l.left - l.right - vg.Length(g.cols-1)*l.gap) / vg.Length(g.cols)
	}
	l.width = widthFor()
	if !g.ownX {
		l.xTicks = g.x.ticksWithin(s.label, l.width, 7)
	}
	// The numbers at the ends of neighboring axes must not meet, nor leave the page.
	head, tail := g.overhang(s, l)
	if g.cols > 1 {
		l.gap = max(l.gap, head+tail+10)
	}
	l.right, l.left = max(l.right, tail+1), max(l.left, head+1)
	l.width = widthFor()
	return l
}

// overhang is how far the numbers of horizontal axes reach beyond their panels, left and right.
func (g grid) overhang(s style, l layout) (head, tail vg.Length) {
	for _, p := range g.panels {
		x, ticks := g.x, l.xTicks
		if g.ownX {
			x, ticks = p.x, p.ticks
		}
		if len(ticks) == 0 {
			continue
		}
		reach := func(t tick, share float64) vg.Length {
			return s.label.Width(t.label)/2 - vg.Length(share/(x.hi-x.lo))*l.width
		}
		first, last := ticks[0], ticks[len(ticks)-1]
		head, tail = max(head, reach(first, first.at-x.lo)), max(tail, reach(last, x.hi-last.at))
	}
	return head, tail
}

func (g grid) draw(s style, c draw.Canvas) {
	l := g.layout(s, c.Max.X-c.Min.X)
	write(c, s.label, stone, vg.Point{X: c.Min.X, Y: c.Max.Y - s.label.Extents().Ascent}, rightOf, g.yLabel)
	top := c.Max.Y - lineHeight - 4
	pitch := g.headingHeight() + g.panelHeight + g.rowGap()
	for i, p := range g.panels {
		row, col := i/g.cols, i%g.cols
		box := c
		box.Min.X = c.Min.X + l.left + vg.Length(col)*(l.width+l.gap)
		box.Max.X = box.Min.X + l.width
		box.Max.Y = top - vg.Length(row)*pitch
		head := box.Max.Y - s.heading.Extents().Ascent
		write(c, s.heading, ink, vg.Point{X: box.Min.X, Y: head}, rightOf, shorten(s.heading, p.heading, l.width+l.right-4))
		box.Max.Y -= g.headingHeight()
		box.Min.Y = box.Max.Y - g.panelHeight
		g.drawPanel(s, box, p, l, position{first: col == 0, lowest: i+g.cols >= len(g.panels)})
	}
	write(c, s.label, stone, vg.Point{X: c.Max.X - l.right, Y: c.Min.Y + s.label.Extents().Descent + 1}, leftOf, g.xLabel)
}

// position tells which axes of a panel carry numbers.
type position struct{ first, lowest bool }

func (g grid) drawPanel(s style, box draw.Canvas, p panel, l layout, at position) {
	x, xTicks := g.x, l.xTicks
	if g.ownX {
		x, xTicks = p.x, p.ticks
	}
	canvas := newPlot(x, g.y)
	canvas.Add(behind(p.layers)...)
	canvas.Draw(box)
	for _, t := range l.yTicks {
		y := box.Y(canvas.Y.Norm(t.at))
		box.StrokeLine2(gridPen(), box.Min.X, y, box.Max.X, y)
	}
	canvas = newPlot(x, g.y)
	canvas.Add(inFront(p.layers)...)
	canvas.Draw(box)
	drawYAxis(s, box, canvas, l.yTicks, at.first)
	drawXAxis(s, box, canvas, xTicks, at.lowest || g.ownX)
}

// newPlot is an empty plot whose layers take the whole of its canvas. Its
// limits are set: nothing is left to what the layers happen to hold.
func newPlot(x, y scale) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	p.HideAxes()
	p.X.Padding, p.Y.Padding = 0, 0
	p.X.Min, p.X.Max = x.lo, x.hi
	p.Y.Min, p.Y.Max = y.lo, y.hi
	return p
}

// behind are the layers that the grid lines lie upon: areas.
func behind(layers []plot.Plotter) []plot.Plotter { return layersWhere(layers, true) }

func inFront(layers []plot.Plotter) []plot.Plotter { return layersWhere(layers, false) }

func layersWhere(layers []plot.Plotter, isArea bool) []plot.Plotter {
	var out []plot.Plotter
	for _, l := range layers {
		if _, ok := l.(band); ok == isArea {
			out = append(out, l)
		}
	}
	return out
}

func drawYAxis(s style, box draw.Canvas, p *plot.Plot, ticks []tick, numbered bool) {
	box.StrokeLine2(axisPen(), box.Min.X, box.Min.Y, box.Min.X, box.Max.Y)
	for _, t := range ticks {
		y := box.Y(p.Y.Norm(t.at))
		box.StrokeLine2(axisPen(), box.Min.X-tickLength, y, box.Min.X, y)
		if numbered {
			write(box, s.label, ink, vg.Point{X: box.Min.X - tickLength - 2, Y: y - middle(s.label)}, leftOf, t.label)
		}
	}
}

func drawXAxis(s style, box draw.Canvas, p *plot.Plot, ticks []tick, numbered bool) {
	box.StrokeLine2(axisPen(), box.Min.X, box.Min.Y, box.Max.X, box.Min.Y)
	for _, t := range ticks {
		x := box.X(p.X.Norm(t.at))
		box.StrokeLine2(axisPen(), x, box.Min.Y, x, box.Min.Y-tickLength)
		if numbered {
			write(box, s.label, ink, vg.Point{X: x, Y: box.Min.Y - tickLength - s.label.Extents().Ascent}, centered, t.label)
		}
	}
}
