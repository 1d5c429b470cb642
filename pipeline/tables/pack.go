package tables

import (
	"math"
	"sort"
)

// packRows is how many rows of a Pack are closed and made small in one go.
const packRows = 1 << 16

// Pack keeps a large table by columns in as few bytes as its values need: names
// and numbers that come again and again once, with a number of one or two bytes a
// row; days by their distance from the first; columns without values not at all.
// The values are kept exactly. Rows are appended and read; Frame reads it too.
type Pack struct {
	table   Table
	columns []packed
	rows    int
	open    bool // never closed: a part, to be appended to another
	runs    []originRun
	extras  []uint64
}

// originRun are rows that stood below each other.
type originRun struct {
	first int32 // row of the pack
	at    Origin
}

// packed is one column. What it holds depends on the type of the declared column.
type packed struct {
	texts texts
	loose looseTexts
	nums  numbers
	whole wholes
	lists lists
	form  packForm
}

type packForm byte

const (
	packTexts packForm = iota // names, which many rows share
	packLoose                 // texts, most of them once
	packNumbers
	packWholes
	packLists
)

// NewPack is an empty pack of a declared input table.
func NewPack(t Table) *Pack {
	p := &Pack{table: t, columns: make([]packed, len(t.Columns))}
	for i, c := range t.Columns {
		p.columns[i].form = formOf(t, c)
	}
	return p
}

// NewPart is an empty pack of at most some ten thousand rows, quick to fill and
// to append to another.
func (p *Pack) NewPart() *Pack {
	part := NewPack(p.table)
	part.open = true
	return part
}

func formOf(t Table, c Column) packForm {
	switch c.Type.Name() {
	case "double", "float64":
		return packNumbers
	case "int32", "date32":
		return packWholes
	case "list":
		return packLists
	}
	if c.Kind == KindText || c.Kind == KindID && len(t.Columns) > 0 && c.Name == t.Columns[0].Name {
		return packLoose
	}
	return packTexts
}

// Len is the number of rows.
func (p *Pack) Len() int { return p.rows }

// Table is the declaration of the table.
func (p *Pack) Table() Table { return p.table }

// Next ends a row, whose values were given by the Put methods, and tells where
// it was read. Extra is a hash of what else stood in the row, see Extra.
func (p *Pack) Next(at Origin, extra uint64) {
	if n := len(p.runs); n == 0 || p.runs[n-1].at.Block != at.Block || p.runs[n-1].at.Row+int32(p.rows)-p.runs[n-1].first != at.Row {
		p.runs = append(p.runs, originRun{int32(p.rows), at})
	}
	if extra != 0 {
		p.extras = padded(p.extras, p.rows, 0)
		p.extras = append(p.extras, extra)
	}
	p.rows++
	if !p.open && p.rows%packRows == 0 {
		p.close()
	}
}

// close makes the rows since the last closing small.
func (p *Pack) close() {
	for i := range p.columns {
		p.columns[i].close()
	}
}

func (c *packed) close() {
	switch c.form {
	case packTexts:
		c.texts.close()
	case packLoose:
		c.loose.close()
	case packNumbers:
		c.nums.close()
	case packWholes:
		c.whole.close()
	case packLists:
		c.lists.close()
	}
}

// tail is the place of the row under way in the rows that are not closed.
func (p *Pack) tail() int {
	if p.open {
		return p.rows
	}
	return p.rows % packRows
}

// PutText gives the row under way its text in a column, "" for none.
func (p *Pack) PutText(column int, s string) {
	if s == "" {
		return
	}
	if c := &p.columns[column]; c.form == packLoose {
		c.loose.put(p.tail(), s)
	} else {
		c.texts.put(p.tail(), s)
	}
}

// PutNumber gives the row under way its number in a column.
func (p *Pack) PutNumber(column int, x float64) {
	if x = finite(x); Has(x) {
		p.columns[column].nums.put(p.tail(), x)
	}
}

// PutWhole gives the row under way its Count or Date in a column.
func (p *Pack) PutWhole(column int, x int32) {
	if x != math.MinInt32 {
		p.columns[column].whole.put(p.tail(), x)
	}
}

// PutList gives the row under way its readings in a column.
func (p *Pack) PutList(column int, xs []float64) {
	if len(xs) > 0 {
		p.columns[column].lists.put(p.tail(), p.rows, xs)
	}
}

// Append takes over the rows of a part.
func (p *Pack) Append(part *Pack) {
	for from := 0; from < part.rows; {
		n := min(part.rows-from, packRows-p.rows%packRows)
		for i := range p.columns {
			p.columns[i].take(&part.columns[i], p.rows, from, n)
		}
		from, p.rows = from+n, p.rows+n
		if p.rows%packRows == 0 {
			p.close()
		}
	}
	base := int32(p.rows - part.rows)
	for _, r := range part.runs {
		r.first += base
		if n := len(p.runs); n > 0 && p.runs[n-1].at.Block == r.at.Block && p.runs[n-1].at.Row+r.first-p.runs[n-1].first == r.at.Row {
			continue
		}
		p.runs = append(p.runs, r)
	}
	if len(part.extras) > 0 {
		p.extras = append(padded(p.extras, int(base), 0), part.extras...)
	}
}

func (c *packed) take(part *packed, row, from, n int) {
	at := row % packRows
	switch c.form {
	case packTexts:
		c.texts.take(&part.texts, at, from, n)
	case packLoose:
		c.loose.tail = takeTail(c.loose.tail, part.loose.tail, at, from, n, "")
	case packNumbers:
		c.nums.take(&part.nums, at, from, n)
	case packWholes:
		c.whole.tail = takeTail(c.whole.tail, part.whole.tail, at, from, n, math.MinInt32)
	case packLists:
		c.lists.take(&part.lists, row, from, n)
	}
}

// takeTail appends n values of a part, from one on, to what is not closed.
func takeTail[T any](to, part []T, at, from, n int, absent T) []T {
	if from >= len(part) {
		return to
	}
	return append(padded(to, at, absent), part[from:min(len(part), from+n)]...)
}

// padded is a tail that reaches up to a row; rows in which nothing was put have
// the sign for absent.
func padded[T any](tail []T, row int, absent T) []T {
	if tail == nil {
		tail = make([]T, 0, max(16, row+1))
	}
	for len(tail) < row {
		tail = append(tail, absent)
	}
	return tail
}

// Origin tells where a row was read.
func (p *Pack) Origin(row int) Origin {
	k := sort.Search(len(p.runs), func(k int) bool { return int(p.runs[k].first) > row }) - 1
	if k < 0 {
		return Origin{}
	}
	at := p.runs[k].at
	at.Row += int32(row) - p.runs[k].first
	return at
}

// Extra is the hash that was given with a row.
func (p *Pack) Extra(row int) uint64 {
	if row >= len(p.extras) {
		return 0
	}
	return p.extras[row]
}

// Forget gives up what only the filling needs: the hashes, and room for further rows.
func (p *Pack) Forget() {
	p.extras = nil
	p.runs = fitted(p.runs)
	for i := range p.columns {
		c := &p.columns[i]
		c.texts.tail, c.loose.tail, c.whole.tail = fitted(c.texts.tail), fitted(c.loose.tail), fitted(c.whole.tail)
		c.texts.index = nil
		c.nums.forget()
		for k := range c.lists.each {
			c.lists.each[k].forget()
		}
	}
}

func (c *numbers) forget() {
	c.index = nil
	c.tail = fitted(c.tail)
	if c.plain != nil {
		c.plain = fitted(c.plain)
	}
}

// fitted is a slice without room behind it.
func fitted[T any](all []T) []T {
	if cap(all) < 2*len(all)+16 {
		return all
	}
	return append(make([]T, 0, len(all)), all...)
}

// Without is a pack of the rows that do not leave.
func (p *Pack) Without(leaves func(row int) bool) *Pack {
	out := NewPack(p.table)
	var room []float64
	for row := range p.rows {
		if leaves(row) {
			continue
		}
		for i := range p.columns {
			switch c := &p.columns[i]; c.form {
			case packTexts, packLoose:
				out.PutText(i, p.Text(i, row))
			case packNumbers:
				out.PutNumber(i, c.nums.at(row))
			case packWholes:
				out.PutWhole(i, c.whole.at(row))
			case packLists:
				room = c.lists.at(row, room[:0])
				out.PutList(i, room)
			}
		}
		out.Next(p.Origin(row), p.Extra(row))
	}
	return out
}
