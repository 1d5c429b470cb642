package charts

import (
	"image"
	"image/draw"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	vgfont "gonum.org/v1/plot/font"
)

// letters are those that were set, each for the parts of a pixel that it may begin at:
// a chart sets hundreds, of which few differ.
type letters struct {
	dpi   float64
	faces map[vgfont.Font]font.Face
	made  map[letterKey]letter
}

type letterKey struct {
	font vgfont.Font
	char rune
	x, y fixed.Int26_6 // of a pixel, where it begins
}

// letter is a letter as it stands at a place within the pixel 0, 0.
type letter struct {
	box     image.Rectangle
	mask    *image.Alpha
	advance fixed.Int26_6
	ok      bool
}

func newLetters(dpi float64) *letters {
	return &letters{dpi: dpi, faces: map[vgfont.Font]font.Face{}, made: map[letterKey]letter{}}
}

// letterStep is the part of a pixel, in its 64ths, that letters are placed by: a quarter
// is a thirtieth of a millimeter.
const letterStep = 16

// set writes one line of text that begins at a place of the picture.
func (l *letters) set(on *image.RGBA, f vgfont.Face, dot fixed.Point26_6, ink image.Image, text string) {
	face, ok := l.faces[f.Font]
	if !ok {
		face = f.FontFace(l.dpi)
		l.faces[f.Font] = face
	}
	before := rune(-1)
	for _, c := range text {
		if before >= 0 {
			dot.X += face.Kern(before, c)
		}
		whole, part := parted(dot)
		key := letterKey{f.Font, c, part.X, part.Y}
		made, ok := l.made[key]
		if !ok {
			made = drawnLetter(face, part, c)
			l.made[key] = made
		}
		if !made.ok {
			continue
		}
		draw.DrawMask(on, made.box.Add(whole), ink, image.Point{}, made.mask, image.Point{}, draw.Over)
		dot.X += made.advance
		before = c
	}
}

// parted is the pixel of a place, and where in it the place lies, by steps.
func parted(dot fixed.Point26_6) (image.Point, fixed.Point26_6) {
	steps := func(x fixed.Int26_6) fixed.Int26_6 { return (x + letterStep/2) &^ (letterStep - 1) }
	x, y := steps(dot.X), steps(dot.Y)
	return image.Pt(x.Floor(), y.Floor()), fixed.Point26_6{X: x & 63, Y: y & 63}
}

func drawnLetter(face font.Face, at fixed.Point26_6, c rune) letter {
	box, mask, from, advance, ok := face.Glyph(at, c)
	if !ok {
		return letter{}
	}
	own := image.NewAlpha(image.Rect(0, 0, box.Dx(), box.Dy())) // the face uses its mask again
	draw.Draw(own, own.Rect, mask, from, draw.Src)
	return letter{box, own, advance, true}
}
