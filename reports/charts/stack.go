package charts

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// stack is a figure body of bodies one below the other, each with scales of its own.
type stack []body

const stackGap = vg.Length(10)

func (b stack) height(s style) vg.Length {
	h := stackGap * vg.Length(len(b)-1)
	for _, part := range b {
		h += part.height(s)
	}
	return h
}

// aligned gives the grids among the bodies one left edge.
func (b stack) aligned(s style, width vg.Length) stack {
	left := vg.Length(0)
	for _, part := range b {
		if g, ok := part.(grid); ok {
			left = max(left, g.layout(s, width).left)
		}
	}
	out := make(stack, len(b))
	for i, part := range b {
		if g, ok := part.(grid); ok {
			g.leftRoom = left
			part = g
		}
		out[i] = part
	}
	return out
}

func (b stack) draw(s style, c draw.Canvas) {
	top := c.Max.Y
	for _, part := range b.aligned(s, c.Max.X-c.Min.X) {
		box := c
		box.Max.Y, box.Min.Y = top, top-part.height(s)
		part.draw(s, box)
		top = box.Min.Y - stackGap
	}
}
