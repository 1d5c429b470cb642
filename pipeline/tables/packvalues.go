package tables

import (
	"math"
	"slices"
)

// mostNumbers is how many different numbers of a column are kept once and named
// by two bytes; a column with more of them keeps each as it is.
const mostNumbers = math.MaxUint16

// numbers is a column of numbers.
type numbers struct {
	known  []float64 // known[k-1] is the number with code k
	index  map[uint64]uint32
	last   uint32
	closed []numberPiece
	tail   []uint32  // codes, 0 for none
	plain  []float64 // in place of tail, nil until a number comes that is not known and cannot be
}

// numberPiece is a closed piece: codes, or numbers where they hardly repeat.
type numberPiece struct {
	codes  codes
	single []float32 // where that is exact for all
	double []float64
}

func (c *numbers) put(row int, x float64) {
	if c.plain == nil {
		if code, ok := c.code(x); ok {
			c.tail = append(padded(c.tail, row, 0), code)
			return
		}
		c.spell()
	}
	c.plain = append(padded(c.plain, row, Absent()), x)
}

// code is the code of a number; false where it is not known and there are too many.
func (c *numbers) code(x float64) (code uint32, ok bool) {
	if !Has(x) {
		return 0, true
	}
	bits := math.Float64bits(x)
	if c.last > 0 && math.Float64bits(c.known[c.last-1]) == bits {
		return c.last, true
	}
	if c.index == nil {
		c.index = map[uint64]uint32{}
		for k, x := range c.known {
			c.index[math.Float64bits(x)] = uint32(k + 1)
		}
	}
	code, seen := c.index[bits]
	if !seen {
		if len(c.known) == mostNumbers {
			return 0, false
		}
		c.known = append(c.known, x)
		code = uint32(len(c.known))
		c.index[bits] = code
	}
	c.last = code
	return code, true
}

// number is the number with a code.
func (c *numbers) number(code uint32) float64 {
	if code == 0 {
		return Absent()
	}
	return c.known[code-1]
}

// spell writes out the numbers of the rows that are not closed.
func (c *numbers) spell() {
	c.plain = make([]float64, len(c.tail), packRows)
	for i, code := range c.tail {
		c.plain[i] = c.number(code)
	}
	c.tail = c.tail[:0]
}

// take appends n rows of a part, from one on.
func (c *numbers) take(part *numbers, at, from, n int) {
	if part.plain != nil {
		for i, x := range part.plain[min(from, len(part.plain)):min(from+n, len(part.plain))] {
			c.put(at+i, x)
		}
		return
	}
	of := Coded{Numbers: append([]float64{Absent()}, part.known...)}
	if from < len(part.tail) {
		c.putCoded(at, part.tail[from:min(len(part.tail), from+n)], &of, 0)
	}
}

func (c *numbers) close() {
	if c.plain != nil {
		c.closed = append(c.closed, rawPiece(c.plain))
		c.plain = nil
		return
	}
	c.closed = append(c.closed, numberPiece{codes: codesOf(c.tail)})
	c.tail = c.tail[:0]
}

func rawPiece(all []float64) numberPiece {
	single := make([]float32, len(all))
	for i, x := range all {
		if single[i] = float32(x); Has(x) && float64(single[i]) != x {
			return numberPiece{double: slices.Clone(all)}
		}
	}
	return numberPiece{single: single}
}

func (c *numbers) at(row int) float64 {
	k := row / packRows
	if k >= len(c.closed) {
		switch row -= len(c.closed) * packRows; {
		case row < len(c.tail):
			return c.number(c.tail[row])
		case row < len(c.plain):
			return c.plain[row]
		}
		return Absent()
	}
	p, i := &c.closed[k], row%packRows
	if code := p.codes.at(i); code > 0 {
		return c.known[code-1]
	}
	switch {
	case i < len(p.single):
		return float64(p.single[i])
	case i < len(p.double):
		return p.double[i]
	}
	return Absent()
}

func (c *numbers) bytes() int {
	n := 4*cap(c.tail) + 8*cap(c.plain) + (8+16)*len(c.known)
	for i := range c.closed {
		p := &c.closed[i]
		n += p.codes.bytes() + 4*len(p.single) + 8*len(p.double)
	}
	return n
}

// wholes is a column of whole numbers or days; math.MinInt32 stands for none.
type wholes struct {
	closed []wholePiece
	tail   []int32
}

// wholePiece keeps each value as its distance from the least, plus one.
type wholePiece struct {
	least int32
	codes codes
	plain []int32 // where the distances are too large
}

func (c *wholes) put(row int, x int32) { c.tail = append(padded(c.tail, row, math.MinInt32), x) }

func (c *wholes) close() {
	c.closed = append(c.closed, wholesOf(c.tail))
	c.tail = c.tail[:0]
}

func wholesOf(all []int32) wholePiece {
	least, most := int32(math.MaxInt32), int32(math.MinInt32)
	for _, x := range all {
		if x != math.MinInt32 {
			least, most = min(least, x), max(most, x)
		}
	}
	switch {
	case least > most:
		return wholePiece{}
	case int64(most)-int64(least) >= math.MaxUint16:
		return wholePiece{plain: slices.Clone(all)}
	}
	far := make([]uint32, len(all))
	for i, x := range all {
		if x != math.MinInt32 {
			far[i] = uint32(x-least) + 1
		}
	}
	return wholePiece{least: least, codes: codesOf(far)}
}

func (c *wholes) at(row int) int32 {
	k := row / packRows
	if k >= len(c.closed) {
		if row -= len(c.closed) * packRows; row < len(c.tail) {
			return c.tail[row]
		}
		return math.MinInt32
	}
	p, i := &c.closed[k], row%packRows
	if code := p.codes.at(i); code > 0 {
		return p.least + int32(code-1)
	}
	if i < len(p.plain) {
		return p.plain[i]
	}
	return math.MinInt32
}

func (c *wholes) bytes() int {
	n := 4 * cap(c.tail)
	for i := range c.closed {
		n += c.closed[i].codes.bytes() + 4*len(c.closed[i].plain)
	}
	return n
}

// mostBeside is how many readings of a row have a column of their own; a row
// with more is kept apart.
const mostBeside = 8

// lists is a column of several readings a row: the first of each row in one
// column, the second in another.
type lists struct {
	each []numbers
	long map[int][]float64 // by row, those with more than mostBeside readings
	shut int               // pieces closed
}

func (c *lists) put(at, row int, xs []float64) {
	if len(xs) > mostBeside {
		if c.long == nil {
			c.long = map[int][]float64{}
		}
		c.long[row] = slices.Clone(xs)
		return
	}
	for j, x := range xs {
		c.column(j).put(at, x)
	}
}

// column is the column of the readings of one place in their rows.
func (c *lists) column(j int) *numbers {
	for len(c.each) <= j {
		c.each = append(c.each, numbers{closed: make([]numberPiece, c.shut)})
	}
	return &c.each[j]
}

func (c *lists) take(part *lists, row, from, n int) {
	for j := range part.each {
		c.column(j).take(&part.each[j], row%packRows, from, n)
	}
	for k, xs := range part.long {
		if k >= from && k < from+n {
			c.put(0, row+k-from, xs)
		}
	}
}

func (c *lists) close() {
	c.shut++
	for j := range c.each {
		c.each[j].close()
	}
}

func (c *lists) at(row int, room []float64) []float64 {
	if xs, ok := c.long[row]; ok {
		return append(room, xs...)
	}
	for j := range c.each {
		x := c.each[j].at(row)
		if !Has(x) {
			break
		}
		room = append(room, x)
	}
	return room
}
