package charts

import (
	"cmp"
	"encoding/binary"
	"image"
	"slices"

	"gonum.org/v1/plot/vg/draw"
)

// png draws the figure as a picture with so many pixels an inch.
func (f figure) png(s style, dpi int) ([]byte, error) {
	canvas := newRaster(figureWidth, f.height(s), dpi, s.spare)
	f.draw(s, draw.New(canvas))
	packer := s.spare.packer()
	picture := packer.paletted(canvas.pixels)
	s.spare.done(canvas)
	out, err := packer.png(picture)
	s.spare.packers.Put(packer)
	return out, err
}

// indexed is a picture of few colors: each row is a zero, which is how a PNG says that
// it holds the row as it is, and then the number of each pixel's color.
type indexed struct {
	width, height int
	palette       []uint32 // 0xRRGGBB
	rows          []uint8
}

// mostColors is the largest palette of a PNG.
const mostColors = 256

// paletted is a picture with the palette of its own most frequent colors: a quarter
// of the bytes, and of the time to compress them. The flat colors of a chart are all
// among them; what falls outside are blends at the edges of marks and letters, which
// take the palette's nearest color. Neither depends on the order of a map. The picture
// holds until the next one.
func (p *packer) paletted(pic *image.RGBA) indexed {
	met := newColors()
	p.runs = p.runs[:0]
	width := pic.Rect.Dx()
	for row := range pic.Rect.Dy() {
		p.runs = met.count(pic.Pix[row*pic.Stride:][:4*width], p.runs)
	}
	seen := slices.Clone(met.seen)
	slices.SortFunc(seen, func(a, b frequency) int { return cmp.Or(cmp.Compare(b.n, a.n), cmp.Compare(a.color, b.color)) })
	kept := seen[:min(len(seen), mostColors)]
	out := indexed{width: width, height: pic.Rect.Dy()}
	place := make([]uint8, len(seen)) // by the number of the color
	near := newNeighbors(kept)
	for i, c := range seen {
		at := uint8(i)
		if i < len(kept) {
			out.palette = append(out.palette, c.color)
		} else {
			at = near.nearest(c.color)
		}
		place[met.number(c.color)] = at
	}
	need := (width + 1) * out.height
	p.rows = slices.Grow(p.rows[:0], need)[:need]
	out.rows = p.rows
	left, next := out.rows, 0
	for _, r := range p.runs {
		if next == 0 {
			left[0], left, next = 0, left[1:], width
		}
		if at := place[r.color]; at == 0 { // paper, mostly
			clear(left[:r.length])
		} else {
			for i := range left[:r.length] {
				left[i] = at
			}
		}
		left, next = left[r.length:], next-int(r.length)
	}
	return out
}

// frequency is a color, 0xRRGGBB, and how many pixels have it.
type frequency struct {
	color uint32
	n     int
}

// packed is the color of an opaque pixel.
func packed(pix []byte) uint32 { return binary.BigEndian.Uint32(pix) >> 8 }

// neighbors find the color of a palette that is nearest to another. Colors that are
// alike in the five highest bits of each channel, which no eye tells apart, have one.
type neighbors struct {
	kept  []frequency
	found []int16 // by those bits: the place in the palette and one, 0 while it is not known
}

func newNeighbors(kept []frequency) *neighbors {
	return &neighbors{kept: kept, found: make([]int16, 1<<15)}
}

func (n *neighbors) nearest(color uint32) uint8 {
	key := color>>9&0x7C00 | color>>6&0x3E0 | color>>3&0x1F
	if n.found[key] == 0 {
		const middle = 0x040404 // of the colors with these bits
		n.found[key] = int16(nearest(n.kept, color&0xF8F8F8|middle)) + 1
	}
	return uint8(n.found[key] - 1)
}

// nearest is the place of the color least far from another; of equally far ones, the first.
func nearest(kept []frequency, color uint32) uint8 {
	r, g, b := channelsOf(color)
	best, least := 0, 1<<30
	for i, k := range kept {
		kr, kg, kb := channelsOf(k.color)
		if far := (r-kr)*(r-kr) + (g-kg)*(g-kg) + (b-kb)*(b-kb); far < least {
			best, least = i, far
		}
	}
	return uint8(best)
}

func channelsOf(color uint32) (r, g, b int) {
	return int(color >> 16), int(color >> 8 & 0xFF), int(color & 0xFF)
}
