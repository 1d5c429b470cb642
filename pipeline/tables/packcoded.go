package tables

import (
	"math"
	"slices"
)

// Coded are the different values of a column, by the codes of whoever read them. One
// of the slices is as long as there are codes: the one of what the column holds.
type Coded struct {
	Texts   []string    // "" for none
	Numbers []float64   // absent for none; for readings too
	Wholes  []int32     // NoDate or NoCount for none
	Lists   [][]float64 // beside Numbers, where cells may hold several readings; nil where none does

	own [][]uint32 // by place in a list and code, the pack's own code plus one; 0 for not yet
}

// Has reports whether there is a value with a code.
func (v *Coded) Has(code uint32) bool {
	switch {
	case v.Texts != nil:
		return v.Texts[code] != ""
	case v.Wholes != nil:
		return v.Wholes[code] != math.MinInt32
	}
	return Has(finite(v.Numbers[code])) || v.Lists != nil && len(v.Lists[code]) > 0
}

// owned are the pack's own codes, for readings in a place of their list.
func (v *Coded) owned(place, codes int) []uint32 {
	for len(v.own) <= place {
		v.own = append(v.own, make([]uint32, codes))
	}
	return v.own[place]
}

// Filling puts values into one column of a pack, in rows behind those that it has,
// many at a time. The columns of a pack may be filled side by side; then Filled ends
// the rows.
type Filling struct {
	column *packed
	row    int
}

// Filling begins with the first row that the pack does not have yet. It will give so
// many rows values.
func (p *Pack) Filling(column, rows int) *Filling {
	c := &p.columns[column]
	room := min(packRows, p.rows%packRows+rows)
	switch c.form {
	case packTexts:
		c.texts.tail = roomy(c.texts.tail, room)
	case packNumbers:
		c.nums.tail = roomy(c.nums.tail, room)
	case packWholes:
		c.whole.tail = roomy(c.whole.tail, room)
	case packLists:
		first := c.lists.column(0)
		first.tail = roomy(first.tail, room)
	}
	return &Filling{c, p.rows}
}

// roomy is a slice with room for n values.
func roomy[T any](all []T, n int) []T { return slices.Grow(all, max(0, n-len(all))) }

// Put gives the next rows the values with codes.
func (f *Filling) Put(codes []uint32, of *Coded) {
	f.pieces(len(codes), func(at, from, to int) {
		switch c := f.column; c.form {
		case packTexts:
			c.texts.putCoded(at, codes[from:to], of)
		case packLoose:
			c.loose.putCoded(at, codes[from:to], of)
		case packNumbers:
			c.nums.putCoded(at, codes[from:to], of, 0)
		case packWholes:
			c.whole.putCoded(at, codes[from:to], of)
		}
	})
}

// PutTexts gives the next rows texts.
func (f *Filling) PutTexts(all []string) {
	f.pieces(len(all), func(at, from, to int) {
		if f.column.form == packLoose {
			f.column.loose.tail = roomy(f.column.loose.tail, at+to-from)
		}
		for i, s := range all[from:to] {
			if s == "" {
				continue
			}
			if f.column.form == packLoose {
				f.column.loose.put(at+i, s)
			} else {
				f.column.texts.put(at+i, s)
			}
		}
	})
}

// PutReadings gives the next rows readings, which stand in as many columns as there
// are values.
func (f *Filling) PutReadings(codes [][]uint32, of []*Coded) {
	f.pieces(len(codes[0]), func(at, from, to int) {
		c := &f.column.lists
		if len(codes) == 1 && of[0].Lists == nil {
			c.column(0).putCoded(at, codes[0][from:to], of[0], 0)
			return
		}
		for i := from; i < to; i++ {
			c.putRow(at+i-from, f.row+i-from, i, codes, of)
		}
	})
}

// pieces calls put for the next n rows, piece by piece, with the place of the first
// of them in its piece.
func (f *Filling) pieces(n int, put func(at, from, to int)) {
	for from := 0; from < n; {
		at := f.row % packRows
		to := min(n, from+packRows-at)
		put(at, from, to)
		f.row, from = f.row+to-from, to
		if f.row%packRows == 0 {
			f.column.close()
		}
	}
}

// Filled ends the rows that Fillings gave values: as many as there are numbers of rows
// of the block in which they stood, and extras, which may be nil where all are 0.
func (p *Pack) Filled(block int32, numbers []int32, extras []uint64) {
	if extras != nil {
		p.extras = append(padded(p.extras, p.rows, 0), extras...)
	}
	for _, number := range numbers {
		at := Origin{block, number}
		if n := len(p.runs); n == 0 || p.runs[n-1].at.Block != block || p.runs[n-1].at.Row+int32(p.rows)-p.runs[n-1].first != number {
			p.runs = append(p.runs, originRun{int32(p.rows), at})
		}
		p.rows++
	}
	for i := range p.columns {
		for c := &p.columns[i]; c.pieces() < p.rows/packRows; {
			c.close()
		}
	}
}

// pieces is how many pieces are closed.
func (c *packed) pieces() int {
	switch c.form {
	case packTexts:
		return len(c.texts.closed)
	case packLoose:
		return len(c.loose.closed)
	case packNumbers:
		return len(c.nums.closed)
	case packWholes:
		return len(c.whole.closed)
	}
	return c.lists.shut
}

func (t *texts) putCoded(row int, codes []uint32, of *Coded) {
	own := of.owned(0, len(of.Texts))
	t.tail = padded(t.tail, row, 0)
	for _, k := range codes {
		if own[k] == 0 {
			own[k] = 1
			if s := of.Texts[k]; s != "" {
				own[k] = t.code(s) + 1
			}
		}
		t.tail = append(t.tail, own[k]-1)
	}
}

func (c *looseTexts) putCoded(row int, codes []uint32, of *Coded) {
	for i, k := range codes {
		if s := of.Texts[k]; s != "" {
			c.put(row+i, s)
		}
	}
}

func (c *wholes) putCoded(row int, codes []uint32, of *Coded) {
	c.tail = padded(c.tail, row, math.MinInt32)
	for _, k := range codes {
		c.tail = append(c.tail, of.Wholes[k])
	}
}

func (c *numbers) putCoded(row int, codes []uint32, of *Coded, place int) {
	own := of.owned(place, len(of.Numbers))
	for i, k := range codes {
		if c.plain != nil || own[k] == 0 && !c.own(own, k, of) {
			c.put(row+i, finite(of.Numbers[k]))
			continue
		}
		if i == 0 {
			c.tail = padded(c.tail, row, 0)
		}
		c.tail = append(c.tail, own[k]-1)
	}
}

// own finds the column's own code of a value; false where it can have none.
func (c *numbers) own(own []uint32, k uint32, of *Coded) bool {
	code, ok := c.code(finite(of.Numbers[k]))
	if ok {
		own[k] = code + 1
	}
	return ok
}

// putRow gives a row, whose place in the codes is i, its readings.
func (c *lists) putRow(at, row, i int, codes [][]uint32, of []*Coded) {
	n, several := 0, false
	for j, v := range of {
		k := codes[j][i]
		several = several || v.Lists != nil && len(v.Lists[k]) > 0
		if Has(finite(v.Numbers[k])) {
			n++
		}
	}
	if several || n > mostBeside {
		var all []float64
		for j, v := range of {
			k := codes[j][i]
			if x := finite(v.Numbers[k]); Has(x) {
				all = append(all, x)
			} else if v.Lists != nil {
				all = append(all, v.Lists[k]...)
			}
		}
		c.put(at, row, all)
		return
	}
	place := 0
	for j, v := range of {
		if k := codes[j][i : i+1]; Has(finite(v.Numbers[k[0]])) {
			c.column(place).putCoded(at, k, v, place)
			place++
		}
	}
}
