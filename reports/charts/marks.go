package charts

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// shape is the form of a mark. Shapes carry the meaning that tints repeat.
type shape int

const (
	ring shape = iota
	disc
	diamond
	square
	triangle
)

// mark is how a point is drawn.
type mark struct {
	shape  shape
	fill   tint
	radius vg.Length
}

// Marks with one meaning in all charts.
func castMark() mark { return mark{ring, stone, 1.7} }

// crowdedMark is castMark where many casts share a panel, or the panel is small.
func crowdedMark() mark { return mark{ring, stone, 1.25} }
func oddMark() mark     { return mark{diamond, clay, 3.2} }

// ringPen is how wide the line of a ring is.
const ringPen = vg.Length(0.7)

// marks draws points. All of one set share one path, which keeps the SVG small.
// A point off the panel becomes a small arrow at the edge, so that none is lost.
type marks struct {
	x, y []float64
	mark mark
}

func (m marks) Plot(c draw.Canvas, p *plot.Plot) {
	at := place(&c, p)
	var inside, arrows vg.Path
	put := func(pt vg.Point) { m.mark.outline(&inside, pt) }
	if r := stampable(c); r != nil && (m.mark.shape == ring || m.mark.shape == disc) {
		round := newStamps(m.mark, r.dpi)
		put = func(pt vg.Point) { r.stamp(round, pt, m.mark.fill) }
	}
	runs(func(from, to int) {
		for i := from; i < to; i++ {
			pt := at(m.x[i], m.y[i])
			if c.Contains(pt) {
				put(pt)
			} else {
				edgeArrow(&arrows, c.Rectangle, pt)
			}
		}
	}, len(m.x), m.x, m.y)
	m.mark.paint(c, inside)
	if len(arrows) > 0 {
		c.SetColor(m.mark.fill)
		c.Fill(arrows)
	}
}

// paint strokes or fills an outline of the mark.
func (m mark) paint(c draw.Canvas, outline vg.Path) {
	if len(outline) == 0 {
		return
	}
	if m.shape == ring {
		c.SetLineStyle(pen(m.fill, ringPen))
		c.Stroke(outline)
		return
	}
	c.SetColor(m.fill)
	c.Fill(outline)
}

// draw draws one mark with a thin rim of paper, which sets it off from lines below.
func (m mark) draw(c draw.Canvas, at vg.Point) {
	rim := m
	rim.fill, rim.radius = paper, m.radius+1
	var below, above vg.Path
	rim.outline(&below, at)
	rim.paint(c, below)
	m.outline(&above, at)
	m.paint(c, above)
}

func (m mark) outline(path *vg.Path, at vg.Point) {
	r := m.radius
	switch m.shape {
	case ring, disc:
		path.Move(vg.Point{X: at.X + r, Y: at.Y})
		path.Arc(at, r, 0, 2*math.Pi)
		path.Close()
	case diamond:
		polygon(path, at, vg.Point{Y: r * 1.15}, vg.Point{X: r * 1.15}, vg.Point{Y: -r * 1.15}, vg.Point{X: -r * 1.15})
	case square:
		r *= 0.88
		polygon(path, at, vg.Point{X: -r, Y: -r}, vg.Point{X: -r, Y: r}, vg.Point{X: r, Y: r}, vg.Point{X: r, Y: -r})
	case triangle:
		polygon(path, at, vg.Point{X: -r, Y: -r * 0.8}, vg.Point{Y: r * 1.1}, vg.Point{X: r, Y: -r * 0.8})
	}
}

func polygon(path *vg.Path, at vg.Point, corners ...vg.Point) {
	for i, p := range corners {
		if i == 0 {
			path.Move(at.Add(p))
		} else {
			path.Line(at.Add(p))
		}
	}
	path.Close()
}

// edgeArrow adds an arrow inside the box, at the place of its edge nearest to
// the point outside, pointing out of it.
func edgeArrow(path *vg.Path, box vg.Rectangle, pt vg.Point) {
	const long, half = vg.Length(5), vg.Length(2.4)
	at := vg.Point{
		X: min(max(pt.X, box.Min.X+half), box.Max.X-half),
		Y: min(max(pt.Y, box.Min.Y+half), box.Max.Y-half),
	}
	switch {
	case pt.Y > box.Max.Y:
		at.Y = box.Max.Y
		polygon(path, at, vg.Point{}, vg.Point{X: half, Y: -long}, vg.Point{X: -half, Y: -long})
	case pt.Y < box.Min.Y:
		at.Y = box.Min.Y
		polygon(path, at, vg.Point{}, vg.Point{X: -half, Y: long}, vg.Point{X: half, Y: long})
	case pt.X > box.Max.X:
		at.X = box.Max.X
		polygon(path, at, vg.Point{}, vg.Point{X: -long, Y: -half}, vg.Point{X: -long, Y: half})
	default:
		at.X = box.Min.X
		polygon(path, at, vg.Point{}, vg.Point{X: long, Y: half}, vg.Point{X: long, Y: -half})
	}
}
