package tables

import (
	"encoding/binary"
	"math"
	"slices"
)

// Text is the text of a row in a column, "" where there is none.
func (p *Pack) Text(column, row int) string {
	if c := &p.columns[column]; c.form == packLoose {
		return c.loose.at(row)
	} else {
		return c.texts.name(c.texts.at(row))
	}
}

// Names are the different texts of a column of names; the first is "". A name
// that is changed there is changed in all rows.
func (p *Pack) Names(column int) []string {
	c := &p.columns[column]
	if c.form != packTexts {
		panic("tables: no column of names")
	}
	if len(c.texts.names) == 0 {
		return []string{""}
	}
	return c.texts.names
}

// Name is the place of a row's text among the Names of its column.
func (p *Pack) Name(column, row int) int { return int(p.columns[column].texts.at(row)) }

// Number is the number of a row in a column, absent where there is none.
func (p *Pack) Number(column, row int) float64 { return p.columns[column].nums.at(row) }

// Whole is the Count or Date of a row in a column.
func (p *Pack) Whole(column, row int) int32 { return p.columns[column].whole.at(row) }

// List appends the readings of a row in a column to room.
func (p *Pack) List(column, row int, room []float64) []float64 {
	return p.columns[column].lists.at(row, room)
}

// Bytes is about how much memory the pack takes.
func (p *Pack) Bytes() int {
	n := 12*cap(p.runs) + 8*cap(p.extras)
	for i := range p.columns {
		c := &p.columns[i]
		n += c.texts.bytes() + c.loose.bytes() + c.nums.bytes() + c.whole.bytes()
		for k := range c.lists.each {
			n += c.lists.each[k].bytes()
		}
	}
	return n
}

// Form is what a column holds.
func (p *Pack) Form(column int) int {
	switch p.columns[column].form {
	case packNumbers:
		return HoldsNumber
	case packLists:
		return HoldsList
	case packWholes:
		if p.table.Columns[column].Kind == KindCount {
			return HoldsCount
		}
		return HoldsDate
	}
	return HoldsText
}

// Absent reports whether a column holds nothing in any row.
func (p *Pack) Absent(column int) bool {
	switch c := &p.columns[column]; c.form {
	case packTexts:
		return !slices.ContainsFunc(c.texts.closed, func(p codes) bool { return p.bytes() > 0 }) && !holds(c.texts.tail, 0)
	case packLoose:
		return !slices.ContainsFunc(c.loose.closed, func(p loosePiece) bool { return holds(p.nums, 0) || p.text != "" }) && !holds(c.loose.tail, "")
	case packNumbers:
		return c.nums.absent()
	case packWholes:
		return !slices.ContainsFunc(c.whole.closed, func(p wholePiece) bool {
			return p.codes.bytes() > 0 || holds(p.plain, math.MinInt32)
		}) && !holds(c.whole.tail, math.MinInt32)
	default:
		return len(c.lists.long) == 0 && (len(c.lists.each) == 0 || c.lists.each[0].absent())
	}
}

// holds reports whether any value is another than the sign for absent.
func holds[T comparable](all []T, absent T) bool {
	return slices.ContainsFunc(all, func(x T) bool { return x != absent })
}

func (c *numbers) absent() bool {
	return !slices.ContainsFunc(c.closed, func(p numberPiece) bool {
		return p.codes.bytes() > 0 || slices.ContainsFunc(p.single, func(x float32) bool { return x == x }) || slices.ContainsFunc(p.double, Has)
	}) && !holds(c.tail, 0) && !slices.ContainsFunc(c.plain, Has)
}

// Rising reports whether the texts of a column of loose texts are numbers behind
// one beginning that rise from row to row, and so all differ.
func (p *Pack) Rising(column int) bool {
	c := &p.columns[column].loose
	pieces := c.closed
	if len(c.tail) > 0 {
		pieces = append(slices.Clone(pieces), looseOf(c.tail))
	}
	last := uint32(0)
	rows := 0
	for i := range pieces {
		if pieces[i].start != pieces[0].start || pieces[i].digits != pieces[0].digits || pieces[i].nums == nil {
			return false
		}
		for _, n := range pieces[i].nums {
			if n <= last {
				return false
			}
			last = n
		}
		rows += len(pieces[i].nums)
	}
	return rows == p.rows
}

// AppendRow appends the values of a row and its extra, so that rows of one pack
// that are equal give equal bytes and others different ones.
func (p *Pack) AppendRow(buf []byte, row int) []byte {
	number := func(x float64) {
		if !Has(x) {
			x = math.NaN() // one pattern of bits for the absent number
		}
		buf = binary.LittleEndian.AppendUint64(buf, math.Float64bits(x))
	}
	for i := range p.columns {
		switch c := &p.columns[i]; c.form {
		case packNumbers:
			number(c.nums.at(row))
		case packWholes:
			buf = binary.LittleEndian.AppendUint32(buf, uint32(c.whole.at(row)))
		case packLists:
			xs := c.lists.at(row, nil)
			buf = binary.AppendUvarint(buf, uint64(len(xs)))
			for _, x := range xs {
				number(x)
			}
		default:
			s := p.Text(i, row)
			buf = binary.AppendUvarint(buf, uint64(len(s)))
			buf = append(buf, s...)
		}
	}
	return binary.LittleEndian.AppendUint64(buf, p.Extra(row))
}
