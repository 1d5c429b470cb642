package charts

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// pattern is what is drawn on a filled area, so that areas differ without color.
type pattern int

const (
	plain     pattern = iota
	rising            // lines from lower left to upper right
	falling           // lines from upper left to lower right
	lying             // horizontal lines
	dotted            // small squares
	crossways         // rising and falling
)

// fill is a tint with a pattern on it.
type fill struct {
	tint    tint
	pattern pattern
	over    tint      // tint of the pattern
	apart   vg.Length // between two lines of the pattern
}

// paint fills a rectangle, pattern and thin outline included.
func (f fill) paint(c draw.Canvas, r vg.Rectangle) {
	if r.Size().X <= 0 || r.Size().Y <= 0 {
		return
	}
	f.cover(c, r)
	c.SetLineStyle(pen(ink, 0.35))
	c.Stroke(r.Path())
}

// cover fills a rectangle with tint and pattern, without an outline.
func (f fill) cover(c draw.Canvas, r vg.Rectangle) {
	if r.Size().X <= 0 || r.Size().Y <= 0 {
		return
	}
	fillRect(c, f.tint, r)
	box := c
	box.Rectangle = r
	var lines [][]vg.Point
	if f.pattern == rising || f.pattern == crossways {
		lines = append(lines, f.slanted(r, 1)...)
	}
	if f.pattern == falling || f.pattern == crossways {
		lines = append(lines, f.slanted(r, -1)...)
	}
	if f.pattern == lying {
		for y := firstFrom(r.Min.Y, f.apart); y < r.Max.Y; y += f.apart {
			lines = append(lines, []vg.Point{{X: r.Min.X, Y: y}, {X: r.Max.X, Y: y}})
		}
	}
	strokeAll(c, pen(f.over, 0.8), box.ClipLinesXY(lines...))
	if f.pattern == dotted {
		f.dots(c, r)
	}
}

// slanted returns the lines at 45° through the rectangle. They hang on one
// raster of the page, so that the pattern runs through neighbors.
func (f fill) slanted(r vg.Rectangle, up vg.Length) [][]vg.Point {
	step := f.apart * 1.4
	var lines [][]vg.Point
	h := r.Size().Y
	lowest := r.Min.Y - up*r.Min.X
	highest := lowest
	for _, p := range []vg.Point{r.Max, {X: r.Min.X, Y: r.Max.Y}, {X: r.Max.X, Y: r.Min.Y}} {
		lowest, highest = min(lowest, p.Y-up*p.X), max(highest, p.Y-up*p.X)
	}
	for b := firstFrom(lowest, step); b < highest; b += step {
		left, right := r.Min.X-h, r.Max.X+h
		lines = append(lines, []vg.Point{{X: left, Y: b + up*left}, {X: right, Y: b + up*right}})
	}
	return lines
}

func (f fill) dots(c draw.Canvas, r vg.Rectangle) {
	const half = vg.Length(0.55)
	var path vg.Path
	row := 0
	for y := firstFrom(r.Min.Y+half, f.apart*0.8); y < r.Max.Y-half; y += f.apart * 0.8 {
		row++
		for x := r.Min.X + f.apart*(0.3+0.5*vg.Length(row%2)); x < r.Max.X-half; x += f.apart {
			polygon(&path, vg.Point{X: x, Y: y}, vg.Point{X: -half, Y: -half}, vg.Point{X: -half, Y: half}, vg.Point{X: half, Y: half}, vg.Point{X: half, Y: -half})
		}
	}
	if len(path) > 0 {
		c.SetColor(f.over)
		c.Fill(path)
	}
}

// firstFrom is the first multiple of step that is no less than x.
func firstFrom(x, step vg.Length) vg.Length {
	n := vg.Length(int(x / step))
	if n*step < x {
		n++
	}
	return n * step
}

// strokeAll strokes many lines as one path.
func strokeAll(c draw.Canvas, line draw.LineStyle, lines [][]vg.Point) {
	var path vg.Path
	for _, l := range lines {
		for i, p := range l {
			if i == 0 {
				path.Move(p)
			} else {
				path.Line(p)
			}
		}
	}
	if len(path) > 0 {
		c.SetLineStyle(line)
		c.Stroke(path)
	}
}

// swatch draws a sample of a mark into the canvas's rectangle.
type swatch func(c draw.Canvas)

func lineSwatch(line draw.LineStyle) swatch {
	return func(c draw.Canvas) { c.StrokeLine2(line, c.Min.X, c.Center().Y, c.Max.X, c.Center().Y) }
}

func uprightSwatch(line draw.LineStyle) swatch {
	return func(c draw.Canvas) { c.StrokeLine2(line, c.Center().X, c.Min.Y-1, c.Center().X, c.Max.Y+1) }
}

func bandSwatch(t tint) swatch {
	return func(c draw.Canvas) { fillRect(c, t, c.Rectangle) }
}

func markSwatch(m mark) swatch {
	return func(c draw.Canvas) { m.draw(c, c.Center()) }
}

func fillSwatch(f fill) swatch {
	return func(c draw.Canvas) { f.paint(c, c.Rectangle) }
}

// spreadSwatch shows an interval with the mark of its middle.
func spreadSwatch(m mark) swatch {
	return func(c draw.Canvas) {
		c.StrokeLine2(spreadPen(), c.Min.X, c.Center().Y, c.Max.X, c.Center().Y)
		m.draw(c, c.Center())
	}
}

// stepSwatch shows a falling step.
func stepSwatch(line draw.LineStyle) swatch {
	return func(c draw.Canvas) {
		mid := c.Center().X
		c.StrokeLines(line, []vg.Point{{X: c.Min.X, Y: c.Max.Y - 1}, {X: mid, Y: c.Max.Y - 1}, {X: mid, Y: c.Min.Y + 1}, {X: c.Max.X, Y: c.Min.Y + 1}})
	}
}
