package charts

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// rowChart is a figure body of labeled rows on one horizontal scale: intervals
// or bars. Texts stand beside the rows, so that no legend is needed for them.
type rowChart struct {
	x       scale
	xLabel  string
	groups  []rowGroup
	headers []string  // of the columns of text at the right
	widest  vg.Length // of a row's label, in points; 0: widestLabel
}

// rowGroup is a block of rows under a heading of its own.
type rowGroup struct {
	heading string
	rows    []row
}

// row is one line of the chart.
type row struct {
	label   string
	columns []string // texts at the right, one a header
	atEnd   string   // text just right of what is drawn
	end     float64  // where that is
	draw    func(c draw.Canvas, at func(float64) vg.Length)
}

const (
	rowHeight    = vg.Length(14.5)
	groupGap     = vg.Length(8)
	widestLabel  = vg.Length(130) // of a row, in points
	widestColumn = vg.Length(105)
	columnGap    = vg.Length(10)
	labelGap     = vg.Length(8)
)

func (r rowChart) height(style) vg.Length {
	h := tickLength + 2*lineHeight
	for i, g := range r.groups {
		h += vg.Length(len(g.rows)) * rowHeight
		if g.heading != "" {
			h += lineHeight + 3
		}
		if i > 0 {
			h += groupGap
		}
	}
	if len(r.headers) > 0 {
		h += lineHeight
	}
	return h
}

// measures of the columns of a row chart.
type rowLayout struct {
	labels  vg.Length
	columns []vg.Length
	end     vg.Length // room for texts at the ends of bars
}

func (r rowChart) layout(s style) rowLayout {
	l := rowLayout{columns: make([]vg.Length, len(r.headers))}
	widest := r.widest
	if widest == 0 {
		widest = widestLabel
	}
	for i, h := range r.headers {
		l.columns[i] = s.label.Width(h)
	}
	for _, g := range r.groups {
		for _, row := range g.rows {
			l.labels = max(l.labels, min(s.label.Width(clean(row.label)), widest))
			l.end = max(l.end, s.label.Width(row.atEnd))
			for i, text := range row.columns {
				l.columns[i] = max(l.columns[i], min(s.label.Width(clean(text)), widestColumn))
			}
		}
	}
	return l
}

func (r rowChart) draw(s style, c draw.Canvas) {
	l := r.layout(s)
	data := c
	data.Min.X += l.labels + labelGap
	data.Max.X -= 4 + l.end
	for _, w := range l.columns {
		data.Max.X -= w + columnGap
	}
	if len(r.headers) > 0 {
		x := data.Max.X
		for i, h := range r.headers {
			write(c, s.label, stone, vg.Point{X: x + columnGap, Y: c.Max.Y - s.label.Extents().Ascent}, rightOf, h)
			x += l.columns[i] + columnGap
		}
		c.Max.Y -= lineHeight
	}
	ticks := r.x.ticksWithin(s.label, data.Max.X-data.Min.X, 7)
	y := c.Max.Y
	for i, g := range r.groups {
		if i > 0 {
			y -= groupGap
		}
		if g.heading != "" {
			write(c, s.heading, ink, vg.Point{X: c.Min.X, Y: y - s.heading.Extents().Ascent}, rightOf, g.heading)
			y -= lineHeight + 3
		}
		data.Max.Y, data.Min.Y = y, y-vg.Length(len(g.rows))*rowHeight
		r.drawGroup(s, data, g, l, ticks)
		y = data.Min.Y
	}
	drawXAxis(s, data, newPlot(r.x, scale{lo: 0, hi: 1}), ticks, true)
	write(c, s.label, stone, vg.Point{X: data.Max.X, Y: y - tickLength - lineHeight - s.label.Extents().Ascent}, leftOf, r.xLabel)
}

func (r rowChart) drawGroup(s style, data draw.Canvas, g rowGroup, l rowLayout, ticks []tick) {
	at := func(v float64) vg.Length {
		return data.X(min(max((v-r.x.lo)/(r.x.hi-r.x.lo), 0), 1))
	}
	for _, t := range ticks {
		data.StrokeLine2(gridPen(), at(t.at), data.Min.Y, at(t.at), data.Max.Y)
	}
	data.StrokeLine2(axisPen(), data.Min.X, data.Min.Y, data.Min.X, data.Max.Y)
	for i, row := range g.rows {
		box := data
		box.Max.Y = data.Max.Y - vg.Length(i)*rowHeight
		box.Min.Y = box.Max.Y - rowHeight
		base := box.Center().Y - middle(s.label)
		write(data, s.label, ink, vg.Point{X: data.Min.X - labelGap, Y: base}, leftOf, shorten(s.label, row.label, l.labels+0.5))
		row.draw(box, at)
		if row.atEnd != "" {
			writeOver(data, s.label, ink, vg.Point{X: at(row.end) + 4, Y: base}, rightOf, row.atEnd)
		}
		x := data.Max.X + l.end
		for k, text := range row.columns {
			write(data, s.label, ink, vg.Point{X: x + columnGap, Y: base}, rightOf, shorten(s.label, text, l.columns[k]+0.5))
			x += l.columns[k] + columnGap
		}
	}
}

// interval draws a line from low to high with a mark between. Ends beyond the
// scale are arrows; absent parts are left out.
func interval(x scale, low, mid, high float64, m mark) func(draw.Canvas, func(float64) vg.Length) {
	return func(c draw.Canvas, at func(float64) vg.Length) {
		y := c.Center().Y
		isSpread := drawable(low) && drawable(high)
		if isSpread {
			c.StrokeLine2(spreadPen(), at(low), y, at(high), y)
		}
		if drawable(mid) {
			m.draw(c, vg.Point{X: at(mid), Y: y})
		}
		if !isSpread {
			return
		}
		c.StrokeLine2(spreadPen(), at(low), y-3, at(low), y+3)
		if high <= x.hi {
			c.StrokeLine2(spreadPen(), at(high), y-3, at(high), y+3)
			return
		}
		var arrow vg.Path
		edgeArrow(&arrow, c.Rectangle, vg.Point{X: c.Max.X + 1, Y: y})
		c.SetColor(cobalt)
		c.Fill(arrow)
	}
}

// bar draws a filled bar from 0 to v.
func bar(v float64, f fill) func(draw.Canvas, func(float64) vg.Length) {
	return func(c draw.Canvas, at func(float64) vg.Length) {
		f.paint(c, vg.Rectangle{Min: vg.Point{X: at(0), Y: c.Min.Y + 2}, Max: vg.Point{X: at(v), Y: c.Max.Y - 2}})
	}
}
