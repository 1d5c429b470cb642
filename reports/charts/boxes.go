package charts

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// Most of what a chart is drawn of stands upright or lies flat: grid lines, axes,
// intervals, bars, frames. The drawing library turns each into an outline, follows it
// and sorts what it met; here they are the boxes that they are.

// box is a part of the picture, in pixels from its upper left corner.
type box struct{ left, top, right, bottom float64 }

// Fill fills an outline.
func (r *raster) Fill(p vg.Path) {
	if b, ok := r.boxOf(p); ok && !r.moved {
		r.cover(b)
		return
	}
	r.Canvas.Fill(p)
}

// Stroke draws the line of a path.
func (r *raster) Stroke(p vg.Path) {
	if !r.moved && !r.now().dashed && squareOnly(p) {
		r.strokeBoxes(p)
		return
	}
	r.Canvas.Stroke(p)
}

// boxOf is the box that an outline encloses, where it is one.
func (r *raster) boxOf(p vg.Path) (b box, ok bool) {
	const corners = 4
	if len(p) != corners+1 || p[corners].Type != vg.CloseComp || p[0].Type != vg.MoveComp {
		return b, false
	}
	for i := range corners {
		from, to := p[i].Pos, p[(i+1)%corners].Pos
		if i > 0 && p[i].Type != vg.LineComp || (from.X == to.X) == (from.Y == to.Y) {
			return b, false
		}
	}
	return r.between(p[0].Pos, p[2].Pos), true
}

// between is the box with two corners that face each other.
func (r *raster) between(a, b vg.Point) box {
	ax, ay := r.pixel(a)
	bx, by := r.pixel(b)
	return box{min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)}
}

// pixel is where a point of the drawing lies, whose origin is the lower left corner.
func (r *raster) pixel(p vg.Point) (x, y float64) {
	return p.X.Dots(r.dpi), float64(r.pixels.Rect.Max.Y) - p.Y.Dots(r.dpi)
}

// squareOnly reports whether every line of a path is upright or level.
func squareOnly(p vg.Path) bool {
	var here, start vg.Point
	for _, c := range p {
		switch c.Type {
		case vg.MoveComp:
			start = c.Pos
		case vg.LineComp:
			if c.Pos.X != here.X && c.Pos.Y != here.Y {
				return false
			}
		case vg.CloseComp:
			if start.X != here.X && start.Y != here.Y {
				return false
			}
			here = start
			continue
		default:
			return false
		}
		here = c.Pos
	}
	return true
}

// strokeBoxes draws the lines of such a path. Where two of them meet, each reaches as
// far as the other is wide; ends are cut off square.
func (r *raster) strokeBoxes(p vg.Path) {
	half := r.now().width.Dots(r.dpi) / 2
	if half <= 0 {
		return
	}
	for from := 0; from < len(p); {
		to := from + 1
		for to < len(p) && p[to].Type != vg.MoveComp {
			to++
		}
		r.strokeBoxesOf(p[from:to], half)
		from = to
	}
}

// strokeBoxesOf draws one line that may have corners.
func (r *raster) strokeBoxesOf(p vg.Path, half float64) {
	closed := p[len(p)-1].Type == vg.CloseComp
	if closed {
		p = append(p[:len(p)-1:len(p)-1], vg.PathComp{Type: vg.LineComp, Pos: p[0].Pos})
	}
	for i := 1; i < len(p); i++ {
		a, b := p[i-1].Pos, p[i].Pos
		if a == b {
			continue
		}
		first, last := 0.0, 0.0 // how far the line reaches beyond either end
		if i > 1 || closed {
			first = half
		}
		if i < len(p)-1 || closed {
			last = half
		}
		at := r.between(a, b)
		if a.X > b.X || a.Y < b.Y { // drawn to the left or upwards
			first, last = last, first
		}
		if a.X == b.X {
			at.left, at.right, at.top, at.bottom = at.left-half, at.right+half, at.top-first, at.bottom+last
		} else {
			at.left, at.right, at.top, at.bottom = at.left-first, at.right+last, at.top-half, at.bottom+half
		}
		r.cover(at)
	}
}

// cover paints a box in the color of the day; a pixel that is partly in it takes part
// of the color.
func (r *raster) cover(b box) {
	size := r.pixels.Rect.Max
	b.left, b.right = max(b.left, 0), min(b.right, float64(size.X))
	b.top, b.bottom = max(b.top, 0), min(b.bottom, float64(size.Y))
	if b.left >= b.right || b.top >= b.bottom {
		return
	}
	c := r.now().color
	for row := int(b.top); row < int(math.Ceil(b.bottom)); row++ {
		r.coverRow(row, b.left, b.right, min(b.bottom, float64(row+1))-max(b.top, float64(row)), c)
	}
}

// coverRow paints a part of a row, of which a share is covered.
func (r *raster) coverRow(row int, left, right, share float64, c tint) {
	first, last := int(left), int(math.Ceil(right))-1
	pix := r.pixels.Pix[row*r.pixels.Stride:]
	paint := func(col int, share float64) { mix(pix[4*col:4*col+3], c, int32(255*share+0.5)) }
	if first == last {
		paint(first, share*(right-left))
		return
	}
	paint(first, share*(float64(first+1)-left))
	paint(last, share*(right-float64(last)))
	if share < 1 {
		for col := first + 1; col < last; col++ {
			paint(col, share)
		}
		return
	}
	red, green, blue := byte(c>>16), byte(c>>8), byte(c)
	for inner := pix[4*(first+1) : 4*last]; len(inner) >= 4; inner = inner[4:] {
		inner[0], inner[1], inner[2] = red, green, blue
	}
}

// mix lays a color over a pixel, of which a part of 255 is covered.
func mix(pixel []uint8, c tint, part int32) {
	pixel[0] = blend(pixel[0], int32(c>>16&0xFF), part)
	pixel[1] = blend(pixel[1], int32(c>>8&0xFF), part)
	pixel[2] = blend(pixel[2], int32(c&0xFF), part)
}

// blend is what a channel becomes of which a part of 255 is covered.
func blend(below uint8, above, part int32) uint8 {
	return uint8((int32(below)*(255-part) + above*part + 127) / 255)
}
