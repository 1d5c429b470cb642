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
	"gonum.org/v1/plot/vg/vgimg"
)

// png draws the figure as a picture with so many pixels an inch.
func (f figure) png(s style, dpi int) ([]byte, error) {
	// The canvas is white, as paper is, from the start.
	canvas := vgimg.NewWith(vgimg.UseWH(figureWidth, f.height(s)), vgimg.UseDPI(dpi))
	f.draw(s, draw.New(canvas))
	picture := canvas.Image()
	if drawn, ok := picture.(*image.RGBA); ok {
		picture = paletted(drawn)
	}
	var out bytes.Buffer
	if err := png.Encode(&out, picture); err != nil {
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
	seen := colorsOf(pic)
	slices.SortFunc(seen, func(a, b frequency) int { return cmp.Or(cmp.Compare(b.n, a.n), cmp.Compare(a.color, b.color)) })
	kept := seen[:min(len(seen), mostColors)]
	out := image.NewPaletted(pic.Rect, nil)
	place := make(map[uint32]uint8, len(seen))
	for i, c := range kept {
		r, g, b := c.channels()
		out.Palette = append(out.Palette, color.RGBA{R: uint8(r), G: uint8(g), B: uint8(b), A: 0xFF})
		place[c.color] = uint8(i)
	}
	for _, c := range seen[len(kept):] {
		place[c.color] = nearest(kept, c)
	}
	var last uint32
	var at uint8
	for i := range out.Pix {
		if here := packed(pic.Pix[4*i:]); i == 0 || here != last {
			last, at = here, place[here]
		}
		out.Pix[i] = at
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

// colorsOf counts pixels by color, in no order.
func colorsOf(pic *image.RGBA) []frequency {
	index := map[uint32]int{}
	var seen []frequency
	var last uint32
	at := -1
	for i := 0; i+3 < len(pic.Pix); i += 4 {
		if here := packed(pic.Pix[i:]); at < 0 || here != last {
			k, ok := index[here]
			if !ok {
				k = len(seen)
				index[here] = k
				seen = append(seen, frequency{color: here})
			}
			last, at = here, k
		}
		seen[at].n++
	}
	return seen
}

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
