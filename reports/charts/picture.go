package charts

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/png"
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
	if err != nil {
		return nil, fmt.Errorf("writing chart %s as PNG: %w", f.name, err)
	}
	return out, nil
}

// packer makes PNG files of pictures, one after the other, and keeps its memory
// between them.
type packer struct {
	runs   []run
	pix    []uint8
	out    bytes.Buffer
	buffer *png.EncoderBuffer
}

// Get and Put lend the encoder the memory of the picture before.
func (p *packer) Get() *png.EncoderBuffer  { return p.buffer }
func (p *packer) Put(b *png.EncoderBuffer) { p.buffer = b }

// png writes a picture. Of flat colors the quickest level makes files a twentieth
// larger, in a quarter of the time of the usual one.
func (p *packer) png(pic *image.Paletted) ([]byte, error) {
	p.out.Reset()
	encoder := png.Encoder{BufferPool: p, CompressionLevel: png.BestSpeed}
	err := encoder.Encode(&p.out, pic)
	return bytes.Clone(p.out.Bytes()), err
}

// mostColors is the largest palette of a PNG.
const mostColors = 256

// paletted is a picture with the palette of its own most frequent colors: a quarter
// of the bytes, and of the time to compress them. The flat colors of a chart are all
// among them; what falls outside are blends at the edges of marks and letters, which
// take the palette's nearest color. Neither depends on the order of a map. The picture
// holds until the next one.
func (p *packer) paletted(pic *image.RGBA) *image.Paletted {
	met := newColors()
	p.runs = p.runs[:0]
	width, height := pic.Rect.Dx(), pic.Rect.Dy()
	for row := range height {
		p.runs = met.count(pic.Pix[row*pic.Stride:][:4*width], p.runs)
	}
	seen := slices.Clone(met.seen)
	slices.SortFunc(seen, func(a, b frequency) int { return cmp.Or(cmp.Compare(b.n, a.n), cmp.Compare(a.color, b.color)) })
	kept := seen[:min(len(seen), mostColors)]
	p.pix = slices.Grow(p.pix[:0], width*height)[:width*height]
	out := &image.Paletted{Pix: p.pix, Stride: width, Rect: image.Rect(0, 0, width, height)}
	place := make([]uint8, len(seen)) // by the number of the color
	near := newNeighbors(kept)
	for i, c := range seen {
		at := uint8(i)
		if i < len(kept) {
			r, g, b := channelsOf(c.color)
			out.Palette = append(out.Palette, color.RGBA{R: uint8(r), G: uint8(g), B: uint8(b), A: 0xFF})
		} else {
			at = near.nearest(c.color)
		}
		place[met.number(c.color)] = at
	}
	left := p.pix
	for _, r := range p.runs {
		if at := place[r.color]; at == 0 { // paper, mostly
			clear(left[:r.length])
		} else {
			for i := range left[:r.length] {
				left[i] = at
			}
		}
		left = left[r.length:]
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
