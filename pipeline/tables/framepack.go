package tables

import (
	"math"
	"reflect"
)

// FrameOfPack is the frame of a pack's rows, whose table must be that of R. The
// pack must not change afterwards.
func FrameOfPack[R Row](p *Pack) Frame[R] {
	if t := Of[R](); t.Name != p.table.Name {
		panic("tables: a pack of " + p.table.Name + " is no frame of " + t.Name)
	}
	return Frame[R]{pack: p, columns: p.table.Columns}
}

// rowOf fills a row, the struct that v points to.
func (p *Pack) rowOf(i int, v reflect.Value) {
	for j := range p.columns {
		f := v.Field(p.table.Columns[j].field)
		switch c := &p.columns[j]; c.form {
		case packTexts, packLoose:
			f.SetString(p.Text(j, i))
		case packNumbers:
			f.SetFloat(c.nums.at(i))
		case packWholes:
			f.SetInt(int64(c.whole.at(i)))
		case packLists:
			if xs := c.lists.at(i, nil); len(xs) > 0 {
				f.Set(reflect.ValueOf(xs))
			}
		}
	}
}

// The functions that follow read one column of a large table row by row, without
// a copy of it. Columns walks over a table faster than Row does.

// NumberAt gives the number of a row in a column, absent where there is none.
func (f Frame[R]) NumberAt(column string) func(row int) float64 {
	if f.pack == nil {
		all := f.Numbers(column)
		return func(row int) float64 { return all[row] }
	}
	return f.pack.columns[f.columnIndex(column)].nums.at
}

// DateAt gives the day of a row in a column, NoDate where there is none.
func (f Frame[R]) DateAt(column string) func(row int) Date {
	if f.pack == nil {
		all := f.Dates(column)
		return func(row int) Date { return all[row] }
	}
	whole := &f.pack.columns[f.columnIndex(column)].whole
	return func(row int) Date { return Date(whole.at(row)) }
}

// CountAt gives the Count of a row in a column, NoCount where there is none.
func (f Frame[R]) CountAt(column string) func(row int) Count {
	j := f.columnIndex(column)
	if f.pack == nil {
		return func(row int) Count { return f.countOf(j, row) }
	}
	whole := &f.pack.columns[j].whole
	return func(row int) Count { return Count(whole.at(row)) }
}

// ListAt appends the readings of a row in a column to room.
func (f Frame[R]) ListAt(column string) func(row int, room []float64) []float64 {
	if f.pack == nil {
		all := f.Lists(column)
		return func(row int, room []float64) []float64 { return append(room, all[row]...) }
	}
	return f.pack.columns[f.columnIndex(column)].lists.at
}

// NamesAt gives the different texts of a column, the first of which is "", and
// the place of a row's text among them. Texts may come twice.
func (f Frame[R]) NamesAt(column string) (names []string, at func(row int) int) {
	j := f.columnIndex(column)
	if f.pack != nil && f.pack.columns[j].form == packTexts {
		t := &f.pack.columns[j].texts
		return f.pack.Names(j), func(row int) int { return int(t.at(row)) }
	}
	var all texts
	all.code("")
	codes := make([]uint32, f.Len())
	for i, s := range f.Texts(column) {
		codes[i] = all.code(s)
	}
	if len(all.names) == 0 {
		all.names = []string{""}
	}
	return all.names, func(row int) int { return int(codes[row]) }
}

func (f Frame[R]) allNumbers(j int) []float64 {
	out := make([]float64, f.pack.rows)
	for i := range out {
		out[i] = f.pack.columns[j].nums.at(i)
	}
	return out
}

func (f Frame[R]) allTexts(j int) []string {
	out := make([]string, f.pack.rows)
	for i := range out {
		out[i] = f.pack.Text(j, i)
	}
	return out
}

func (f Frame[R]) allDates(j int) []Date {
	out := make([]Date, f.pack.rows)
	for i := range out {
		out[i] = Date(f.pack.columns[j].whole.at(i))
	}
	return out
}

func (f Frame[R]) allLists(j int) [][]float64 {
	out := make([][]float64, f.pack.rows)
	var room []float64
	for i := range out {
		if cap(room)-len(room) < mostBeside {
			room = make([]float64, 0, max(4096, mostBeside))
		}
		from := len(room)
		if room = f.pack.columns[j].lists.at(i, room); len(room) > from {
			out[i] = room[from:len(room):len(room)]
		}
	}
	return out
}

// finite is a number as a Frame keeps it: one that is not finite is absent.
func finite(x float64) float64 {
	if math.IsInf(x, 0) {
		return Absent()
	}
	return x
}
