package charts

import (
	"bytes"
	"encoding/binary"
)

// colors counts the colors of a picture's pixels. Its table is a power of two long and
// never more than half full; a color lies at its place or in the next free ones.
type colors struct {
	seen  []frequency // in the order in which they were met
	table []int32     // numbers in seen, from 1; 0 is free
}

func newColors() *colors { return &colors{table: make([]int32, 1<<12)} }

// number is that of a color, which is new if it was not met before.
func (c *colors) number(of uint32) int32 {
	at := c.place(of)
	if c.table[at] == 0 {
		if 2*len(c.seen) >= len(c.table) {
			c.grow()
			at = c.place(of)
		}
		c.seen = append(c.seen, frequency{color: of})
		c.table[at] = int32(len(c.seen))
	}
	return c.table[at] - 1
}

// place is where a color lies in the table, or would.
func (c *colors) place(of uint32) uint32 {
	last := uint32(len(c.table) - 1)
	at := of * 0x9E3779B1 >> 8 & last
	for c.table[at] != 0 && c.seen[c.table[at]-1].color != of {
		at = (at + 1) & last
	}
	return at
}

func (c *colors) grow() {
	c.table = make([]int32, 2*len(c.table))
	for i, s := range c.seen {
		c.table[c.place(s.color)] = int32(i + 1)
	}
}

// run is so many pixels of one color beside each other, which is told by its number.
type run struct{ color, length int32 }

// count counts the colors of a row of pixels, and appends its longest runs of one color.
// Most of a chart is paper, so that runs are long.
func (c *colors) count(pix []uint8, runs []run) []run {
	const stretch = 64 // pixels of paper that are passed over at once
	n, blank := len(pix)/4, bytes.Repeat([]byte{0xFF}, 4*stretch)
	for from := 0; from < n; {
		here := binary.LittleEndian.Uint32(pix[4*from:])
		two := uint64(here)<<32 | uint64(here)
		to := from + 1
		for here == 0xFFFFFFFF && to+stretch <= n && bytes.Equal(pix[4*to:4*(to+stretch)], blank) {
			to += stretch
		}
		for to+1 < n && binary.LittleEndian.Uint64(pix[4*to:]) == two {
			to += 2
		}
		if to < n && binary.LittleEndian.Uint32(pix[4*to:]) == here {
			to++
		}
		number := c.number(packed(pix[4*from:]))
		c.seen[number].n += to - from
		runs = append(runs, run{number, int32(to - from)})
		from = to
	}
	return runs
}
