package charts

import (
	"fmt"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Sizes of a printed chart: the text width of A4 and of Letter in portrait.
// The smallest letters keep 9 points, so that they stay legible at half size.
const (
	widthMM     = 170
	pngDPI      = 200
	titleSize   = vg.Length(12.5)
	headingSize = vg.Length(9.5)
	labelSize   = vg.Length(9)
)

// tint is an opaque color, 0xRRGGBB. Being a constant, no chart can change it for another.
type tint uint32

// The palette. Its steps differ in lightness, so that a gray print and a
// color-blind reader tell them apart; where two meanings share a chart, shape
// or pattern differs too.
const (
	paper  tint = 0xFFFFFF
	ink    tint = 0x23282E // text and axes
	stone  tint = 0x62686E // captions of axes, things of second rank
	hair   tint = 0xDEDBD3 // grid lines
	chalk  tint = 0xF0EBDF // plaster in a mold
	cobalt tint = 0x1D4B78 // what was fitted
	mist   tint = 0xCBDAE8 // how far a fit may be off
	clay   tint = 0xB24A26 // what asks for attention
	ochre  tint = 0xDDA23A
	sage   tint = 0xB2CEBA
	plum   tint = 0x4A2346
)

// RGBA makes a tint a color.Color.
func (t tint) RGBA() (r, g, b, a uint32) {
	r, g, b = uint32(t)>>16&0xFF, uint32(t)>>8&0xFF, uint32(t)&0xFF
	return r * 0x101, g * 0x101, b * 0x101, 0xFFFF
}

// style holds the fonts that all charts of a report share, and what memory one leaves
// to the next.
type style struct {
	title, heading, label font.Face

	spare *spares
}

// newStyle loads the Liberation fonts that come with the plot library, so that
// a chart looks the same on every machine.
func newStyle() (style, error) {
	regular, err := liberationFace("LiberationSans-Regular")
	if err != nil {
		return style{}, err
	}
	bold, err := liberationFace("LiberationSans-Bold")
	if err != nil {
		return style{}, err
	}
	return style{title: sized(bold, titleSize), heading: sized(bold, headingSize), label: sized(regular, labelSize), spare: &spares{}}, nil
}

func liberationFace(name string) (font.Face, error) {
	for _, face := range liberation.Collection() {
		if face.Name() == name {
			return face, nil
		}
	}
	return font.Face{}, fmt.Errorf("the plot library no longer brings the font %s", name)
}

func sized(f font.Face, size vg.Length) font.Face {
	f.Font.Size = size
	return f
}

// pen is a line style of a tint and a width in points.
func pen(t tint, width vg.Length, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: t, Width: width, Dashes: dashes}
}

// Pens with one meaning in all charts.
func fitPen() draw.LineStyle    { return pen(cobalt, 1.5) }
func limitPen() draw.LineStyle  { return pen(clay, 1.1, 4, 2.5) }
func sincePen() draw.LineStyle  { return pen(ink, 0.8, 1, 2) }
func gridPen() draw.LineStyle   { return pen(hair, 0.5) }
func axisPen() draw.LineStyle   { return pen(ink, 0.6) }
func spreadPen() draw.LineStyle { return pen(cobalt, 1.6) }
