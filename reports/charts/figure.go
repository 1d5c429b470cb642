package charts

import (
	"bytes"
	"fmt"
	"html"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// figure is a chart before it is drawn: its words, its key, and its body.
type figure struct {
	name, title, alt, note, section string

	shown string // what a bounded chart shows of all there is, "" where it shows all

	key  []keyEntry
	body body
}

// body is the part of a figure below title and key. It takes the full width.
type body interface {
	height(s style) vg.Length
	draw(s style, c draw.Canvas)
}

// keyEntry explains one kind of mark.
type keyEntry struct {
	swatch swatch
	text   string
}

const (
	margin      = vg.Length(5)  // around a figure
	lineHeight  = vg.Length(13) // of a row of labels
	titleHeight = vg.Length(20)
	keyGap      = vg.Length(14) // between two entries of a key
	swatchWidth = vg.Length(16)

	widestKeyText = vg.Length(400)
)

const figureWidth = widthMM * vg.Millimeter

// height is the height of the whole figure.
func (f figure) height(s style) vg.Length {
	h := 2*margin + titleHeight + f.body.height(s)
	if n := len(f.keyRows(s)); n > 0 {
		h += vg.Length(n)*lineHeight + 3
	}
	if f.shown != "" {
		h += lineHeight
	}
	return h
}

// keyRows breaks the key into rows that fit the width.
func (f figure) keyRows(s style) [][]keyEntry {
	var rows [][]keyEntry
	room := vg.Length(-1)
	for _, e := range f.key {
		e.text = shorten(s.label, e.text, widestKeyText)
		need := swatchWidth + 4 + s.label.Width(e.text)
		if room < need {
			rows = append(rows, nil)
			room = figureWidth - 2*margin
		}
		room -= need + keyGap
		rows[len(rows)-1] = append(rows[len(rows)-1], e)
	}
	return rows
}

// draw puts the figure on a canvas of its size, which is blank paper.
func (f figure) draw(s style, c draw.Canvas) {
	c = draw.Crop(c, margin, -margin, margin, -margin)
	y := c.Max.Y - s.title.Extents().Ascent
	write(c, s.title, ink, vg.Point{X: c.Min.X, Y: y}, rightOf, f.title)
	c.Max.Y -= titleHeight
	for _, row := range f.keyRows(s) {
		x := c.Min.X
		mid := c.Max.Y - lineHeight/2
		for _, e := range row {
			box := c
			box.Rectangle = vg.Rectangle{
				Min: vg.Point{X: x, Y: mid - 4},
				Max: vg.Point{X: x + swatchWidth, Y: mid + 4},
			}
			e.swatch(box)
			x += swatchWidth + 4
			write(c, s.label, ink, vg.Point{X: x, Y: mid - middle(s.label)}, rightOf, e.text)
			x += s.label.Width(e.text) + keyGap
		}
		c.Max.Y -= lineHeight
	}
	if len(f.key) > 0 {
		c.Max.Y -= 3
	}
	if f.shown != "" {
		write(c, s.label, stone, vg.Point{X: c.Min.X, Y: c.Min.Y + s.label.Extents().Descent}, rightOf, shorten(s.label, f.shown, figureWidth-2*margin))
		c.Min.Y += lineHeight
	}
	f.body.draw(s, c)
}

// render draws the figure as SVG, and as PNG with so many pixels an inch.
func (f figure) render(s style, dpi int) (c Chart, err error) {
	if c, err = f.picture(s, dpi); err == nil {
		c.SVG, err = f.svg(s)
	}
	return c, err
}

// picture draws the figure as PNG alone.
func (f figure) picture(s style, dpi int) (Chart, error) {
	image, err := f.png(s, dpi)
	return Chart{
		Name: f.name, Title: f.title, Alt: f.alt, Note: f.note, Section: f.section,
		WidthMM: widthMM, HeightMM: float64(f.height(s) / vg.Millimeter), PNG: image,
	}, err
}

// svg draws the figure as an SVG element that stands alone as a file and can be
// put into an HTML page as it is: no XML declaration, no ids that could meet
// others on the page, a text alternative, and font names that every system has
// beside the one it was measured with (they share its widths).
func (f figure) svg(s style) ([]byte, error) {
	height := f.height(s)
	canvas := vgsvg.New(figureWidth, height)
	page := draw.New(canvas)
	fillRect(page, paper, page.Rectangle)
	f.draw(s, page)
	var out bytes.Buffer
	if _, err := canvas.WriteTo(&out); err != nil {
		return nil, fmt.Errorf("writing chart %s as SVG: %w", f.name, err)
	}
	_, inner, found := strings.Cut(out.String(), "xlink\">\n")
	if !found {
		return nil, fmt.Errorf("writing chart %s as SVG: the drawing library changed its header", f.name)
	}
	head := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%.2fmm" height="%.2fmm" viewBox="0 0 %.2f %.2f" role="img" aria-label="%s">`+"\n",
		float64(widthMM), float64(height/vg.Millimeter), float64(figureWidth), float64(height),
		html.EscapeString(clean(f.title+" "+f.alt)))
	// Text cannot hold a plain quotation mark here, so this meets style attributes only.
	inner = strings.ReplaceAll(inner, `style="font-family:Liberation Sans;font-variant:normal;`,
		`style="font-family:'Liberation Sans',Arial,Helvetica,sans-serif;`)
	return []byte(head + inner), nil
}
