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
	picture := paletted(canvas.pixels)
	s.spare.done(canvas.pixels)
	// Of flat colors the quickest level makes files a twentieth larger, in a quarter of
	// the time of the usual one.
	var out bytes.Buffer
	encoder := png.Encoder{BufferPool: s.spare, CompressionLevel: png.BestSpeed}
	if err := encoder.Encode(&out, picture); err != nil {
		return nil, fmt.Errorf("writing chart %s as PNG: %w", f.name, err)
	}
	return out.Bytes(), nil
}

// mostColors is the largest palette of a PNG.
const mostColors = 256

// paletted is a picture with the palette of its own most frequent colors: a quarter
// of the bytes, and of the time to compress them. The flat colors of a chart are all
// among them; what falls outside are blends at the edges of marks and letters, which
// take the palette's nearest color. Neither depends on the order of a map.
func paletted(pic *image.RGBA) *image.Paletted {
	met, runs := newColors(), make([]run, 0, len(pic.Pix)/64)
	spans(pic.Pix, func(c uint32, length int) {
		number := met.number(c)
		met.seen[number].n += length
		runs = append(runs, run{number, int32(length)})
	})
	seen := slices.Clone(met.seen)
	slices.SortFunc(seen, func(a, b frequency) int { return cmp.Or(cmp.Compare(b.n, a.n), cmp.Compare(a.color, b.color)) })
	kept := seen[:min(len(seen), mostColors)]
	out := image.NewPaletted(pic.Rect, nil)
	place := make([]uint8, len(seen)) // by the number of the color
	for i, c := range seen {
		at := uint8(i)
		if i < len(kept) {
			r, g, b := c.channels()
			out.Palette = append(out.Palette, color.RGBA{R: uint8(r), G: uint8(g), B: uint8(b), A: 0xFF})
		} else {
			at = nearest(kept, c)
		}
		place[met.number(c.color)] = at
	}
	left := out.Pix
	for _, r := range runs {
		if at := place[r.color]; at != 0 { // the most frequent is there already
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

func (c frequency) channels() (r, g, b int) {
	return int(c.color >> 16), int(c.color >> 8 & 0xFF), int(c.color & 0xFF)
}

// packed is the color of an opaque pixel.
func packed(pix []byte) uint32 { return binary.BigEndian.Uint32(pix) >> 8 }

// nearest is the place of the color least far from c; of equally far ones, the first.
func nearest(kept []frequency, c frequency) uint8 {
	r, g, b := c.channels()
	best, least := 0, 1<<30
	for i, k := range kept {
		kr, kg, kb := k.channels()
		if far := (r-kr)*(r-kr) + (g-kg)*(g-kg) + (b-kb)*(b-kb); far < least {
			best, least = i, far
		}
	}
	return uint8(best)
}
