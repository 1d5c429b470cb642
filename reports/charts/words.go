package charts

import (
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Where a text lies about its point, as a share of its width.
const (
	leftOf   vg.Length = 1   // the text ends at the point
	centered vg.Length = 0.5 // its middle is at the point
	rightOf  vg.Length = 0   // it begins at the point
)

// longestName bounds the runes of a name that are looked at; more never fit a chart.
const longestName = 400

// clean makes a name from a spreadsheet fit for one line of a drawing and for
// XML: no line breaks, no characters that control or that XML forbids.
func clean(name string) string {
	name = strings.ToValidUTF8(name, "\uFFFD")
	var b strings.Builder
	runes := 0
	for _, r := range name {
		switch {
		case unicode.IsSpace(r):
			r = ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), r == 0xFFFE, r == 0xFFFF:
			continue
		}
		if runes++; runes > longestName {
			break
		}
		b.WriteRune(r)
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// shorten cleans a name and, where it is wider than the room, leaves out its
// middle: names of molds often differ at the end only.
func shorten(f font.Face, name string, room vg.Length) string {
	name = clean(name)
	if f.Width(name) <= room {
		return name
	}
	runes := []rune(name)
	cut := func(kept int) string {
		tail := kept * 2 / 5
		head := kept - tail
		return strings.TrimSpace(string(runes[:head])) + "…" + strings.TrimSpace(string(runes[len(runes)-tail:]))
	}
	// The first number of kept runes that is too wide; widths grow with it.
	tooMany := sort.Search(len(runes), func(kept int) bool { return f.Width(cut(kept)) > room })
	return cut(max(tooMany-1, 0))
}

// short is a name for an alternative text, at most about 40 letters long.
func short(name string) string {
	name = clean(name)
	if utf8.RuneCountInString(name) <= 40 {
		return name
	}
	runes := []rune(name)
	return string(runes[:24]) + "…" + string(runes[len(runes)-15:])
}

// write draws one line of text with its baseline at the point.
func write(c draw.Canvas, f font.Face, t tint, at vg.Point, side vg.Length, s string) {
	if s == "" {
		return
	}
	at.X -= side * f.Width(s)
	c.SetColor(t)
	c.FillString(f, at, s)
}

// writeOver draws text on a patch of paper, for labels that cross lines.
func writeOver(c draw.Canvas, f font.Face, t tint, at vg.Point, side vg.Length, s string) {
	if s == "" {
		return
	}
	width, e := f.Width(s), f.Extents()
	left, bottom := at.X-side*width-1, at.Y-e.Descent
	fillRect(c, paper, vg.Rectangle{
		Min: vg.Point{X: left, Y: bottom},
		Max: vg.Point{X: left + width + 2, Y: at.Y + e.Ascent*0.85},
	})
	write(c, f, t, at, side, s)
}

// middle is how far below the middle of a line of text its baseline lies.
func middle(f font.Face) vg.Length { return f.Extents().Ascent * 0.38 }

func fillRect(c draw.Canvas, t tint, r vg.Rectangle) {
	c.SetColor(t)
	c.Fill(r.Path())
}
