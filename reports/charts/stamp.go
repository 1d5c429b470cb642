package charts

import (
	"image"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A chart has thousands of round marks. As one path of circles they take the drawing
// library most of its time: it follows both edges of every circle, and looks for the
// place of each pixel among all that lie on its line. So a mark is worked out once for
// each part of a pixel that its middle may fall on, and put where it belongs.

// phases is into how many parts a pixel is divided for that, each way: a mark lies
// within a sixteenth of a pixel of its place.
const phases = 8

// stamp is a round mark whose middle lies in one part of a pixel.
type stamp struct {
	from     image.Point // of its upper left corner, from the pixel of its middle
	width    int
	coverage []uint8 // row by row, of 255
}

// stamps are those of one mark at one resolution, made as they are needed.
type stamps struct {
	outer, inner float64 // radii in pixels; inner is 0 for a disc
	made         [phases * phases]*stamp
}

// newStamps are those of a round mark.
func newStamps(m mark, dpi float64) *stamps {
	if m.shape == disc {
		return &stamps{outer: m.radius.Dots(dpi)}
	}
	half := ringPen / 2
	return &stamps{outer: (m.radius + half).Dots(dpi), inner: max(0, (m.radius - half).Dots(dpi))}
}

// at is the stamp for a middle at a place, in pixels from the upper left corner, and the
// pixel that it lies in.
func (s *stamps) at(x, y float64) (*stamp, image.Point) {
	col, row := math.Floor(x*phases), math.Floor(y*phases)
	pixel := image.Pt(int(math.Floor(col/phases)), int(math.Floor(row/phases)))
	i, j := int(col)-pixel.X*phases, int(row)-pixel.Y*phases
	made := &s.made[j*phases+i]
	if *made == nil {
		*made = s.draw((float64(i)+0.5)/phases, (float64(j)+0.5)/phases)
	}
	return *made, pixel
}

// draw works out a stamp: how much of a pixel is covered follows from how far its
// middle lies from the edge.
func (s *stamps) draw(x, y float64) *stamp {
	reach := int(math.Ceil(s.outer + 0.5))
	out := &stamp{from: image.Pt(-reach, -reach), width: 2*reach + 1}
	for row := range out.width {
		for col := range out.width {
			far := math.Hypot(float64(col-reach)+0.5-x, float64(row-reach)+0.5-y)
			covered := within(s.outer, far)
			if s.inner > 0 {
				covered -= within(s.inner, far)
			}
			out.coverage = append(out.coverage, uint8(255*covered+0.5))
		}
	}
	return out
}

// within is how much of a pixel lies within a circle.
func within(radius, far float64) float64 { return min(max(radius-far+0.5, 0), 1) }

// stampable is the picture below a canvas, nil where marks cannot be stamped on it: it
// holds no pixels, or is turned or shifted.
func stampable(c draw.Canvas) *raster {
	for {
		switch below := c.Canvas.(type) {
		case draw.Canvas: // a part of another one
			c = below
		case *raster:
			if below.moved {
				return nil
			}
			return below
		default:
			return nil
		}
	}
}

// stamp puts a mark of a color on the picture.
func (r *raster) stamp(s *stamps, at vg.Point, c tint) {
	x, y := r.pixel(at)
	what, pixel := s.at(x, y)
	corner := pixel.Add(what.from)
	for row := range len(what.coverage) / what.width {
		to := corner.Y + row
		if to < 0 || to >= r.pixels.Rect.Max.Y {
			continue
		}
		for col, covered := range what.coverage[row*what.width : (row+1)*what.width] {
			on := corner.X + col
			if covered == 0 || on < 0 || on >= r.pixels.Rect.Max.X {
				continue
			}
			mix(r.pixels.Pix[to*r.pixels.Stride+4*on:][:3:3], c, int32(covered))
		}
	}
}
