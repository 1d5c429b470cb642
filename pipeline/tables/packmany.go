package tables

import "math"

// The functions that follow give the values of many rows of a column in one go,
// several times faster than one by one: those from one row on, as many as room holds.

// NamesFrom gives the places of texts among the Names of their column.
func (p *Pack) NamesFrom(column, from int, room []uint32) { p.columns[column].texts.read(from, room) }

// WholesFrom gives Counts or Dates.
func (p *Pack) WholesFrom(column, from int, room []int32) {
	c := &p.columns[column].whole
	inPieces(len(c.closed), from, len(room), func(piece, at, from, to int) {
		if piece < len(c.closed) {
			c.closed[piece].read(at, room[from:to])
			return
		}
		copyOr(room[from:to], c.tail, at, math.MinInt32)
	})
}

// NumbersFrom gives numbers, absent where there are none.
func (p *Pack) NumbersFrom(column, from int, room []float64) { p.columns[column].nums.read(from, room) }

// MeansFrom gives the means of the readings of rows, absent where there are none.
func (p *Pack) MeansFrom(column, from int, room []float64) {
	c := &p.columns[column].lists
	if len(c.each) == 0 {
		fill(room, Absent())
	} else {
		c.each[0].read(from, room)
	}
	if len(c.each) < 2 && len(c.long) == 0 {
		return
	}
	var readings [mostBeside]float64
	for i := range room {
		if _, long := c.long[from+i]; Has(room[i]) || long {
			room[i] = mean(c.at(from+i, readings[:0]))
		}
	}
}

func mean(all []float64) float64 {
	var sum float64
	for _, x := range all {
		sum += x
	}
	return sum / float64(len(all))
}

// inPieces calls f for each piece of n rows from one on: with its number, the place of
// its first such row in it, and those in the n.
func inPieces(closed, row, n int, f func(piece, at, from, to int)) {
	for from := 0; from < n; {
		piece, at := row/packRows, row%packRows
		to := min(n, from+packRows-at)
		if piece >= closed {
			piece, at, to = closed, row-closed*packRows, n // all that are not closed
		}
		f(piece, at, from, to)
		row, from = row+to-from, to
	}
}

// copyOr copies values from a place on, and a sign for absent where they end.
func copyOr[T any](room, all []T, at int, absent T) {
	n := copy(room, all[min(at, len(all)):])
	fill(room[n:], absent)
}

func fill[T any](room []T, x T) {
	for i := range room {
		room[i] = x
	}
}

func (t *texts) read(row int, room []uint32) {
	inPieces(len(t.closed), row, len(room), func(piece, at, from, to int) {
		if piece < len(t.closed) {
			t.closed[piece].read(at, room[from:to])
			return
		}
		copyOr(room[from:to], t.tail, at, 0)
	})
}

func (c *codes) read(at int, room []uint32) {
	switch {
	case len(c.one) > 0:
		n := min(len(room), max(0, len(c.one)-at))
		widen(room[:n], c.one[at:])
		clear(room[n:])
	case len(c.two) > 0:
		n := min(len(room), max(0, len(c.two)-at))
		widen(room[:n], c.two[at:])
		clear(room[n:])
	default:
		copyOr(room, c.four, at, 0)
	}
}

func widen[T uint8 | uint16](room []uint32, all []T) {
	for i := range room {
		room[i] = uint32(all[i])
	}
}

func (p *wholePiece) read(at int, room []int32) {
	var codes [1024]uint32
	for from := 0; from < len(room); from += len(codes) {
		part := room[from:min(len(room), from+len(codes))]
		p.codes.read(at+from, codes[:len(part)])
		for i, code := range codes[:len(part)] {
			switch row := at + from + i; {
			case code > 0:
				part[i] = p.least + int32(code-1)
			case row < len(p.plain):
				part[i] = p.plain[row]
			default:
				part[i] = math.MinInt32
			}
		}
	}
}

func (c *numbers) read(row int, room []float64) {
	inPieces(len(c.closed), row, len(room), func(piece, at, from, to int) {
		part := room[from:to]
		switch {
		case piece < len(c.closed):
			c.readPiece(&c.closed[piece], at, part)
		case c.plain != nil:
			copyOr(part, c.plain, at, Absent())
		default:
			for i := range part {
				if part[i] = Absent(); at+i < len(c.tail) {
					part[i] = c.number(c.tail[at+i])
				}
			}
		}
	})
}

func (c *numbers) readPiece(p *numberPiece, at int, room []float64) {
	switch {
	case len(p.double) > 0:
		copyOr(room, p.double, at, Absent())
		return
	case len(p.single) > 0:
		for i := range room {
			if room[i] = Absent(); at+i < len(p.single) {
				room[i] = float64(p.single[at+i])
			}
		}
		return
	}
	var codes [1024]uint32
	for from := 0; from < len(room); from += len(codes) {
		part := room[from:min(len(room), from+len(codes))]
		p.codes.read(at+from, codes[:len(part)])
		for i, code := range codes[:len(part)] {
			part[i] = c.number(code)
		}
	}
}
