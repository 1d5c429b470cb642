package ingest

import (
	"reflect"
	"slices"
	"unsafe"

	"moldwright/pipeline/tables"
)

// shelf collects the rows of one input table as they are read.
type shelf[R tables.Row] struct {
	table  tables.Table
	fields []int   // for each declared column its field in R
	puts   []put   // how a value gets into that field
	origin uintptr // offset of the field that holds the Origin
	rows   []R
	extras []uint64 // of each row, a hash of the cells that no declared column takes
}

// taker is a shelf of whatever table.
type taker interface {
	extend(n int) int
	take(place int, record []value, at tables.Origin, extra uint64)
	settle(base int, kept []bool)
}

func newShelf[R tables.Row]() *shelf[R] {
	s := &shelf[R]{table: tables.Of[R]()}
	t := reflect.TypeFor[R]()
	for i := range t.NumField() {
		if _, ok := t.Field(i).Tag.Lookup("col"); ok {
			s.fields = append(s.fields, i)
			s.puts = append(s.puts, putOf(t.Field(i)))
		} else if t.Field(i).Type == reflect.TypeFor[tables.Origin]() {
			s.origin = t.Field(i).Offset
		}
	}
	return s
}

// take puts a row in its place; record has one value for each declared column.
func (s *shelf[R]) take(place int, record []value, at tables.Origin, extra uint64) {
	s.extras[place] = extra
	row := unsafe.Pointer(&s.rows[place])
	for i, p := range s.puts {
		p.set(unsafe.Add(row, p.offset), &record[i])
	}
	*(*tables.Origin)(unsafe.Add(row, s.origin)) = at
}

// put sets a field, which stands at an offset in the row; a value that is not
// there leaves the field's own sign for absent. Reflection for every value would
// double the time of reading.
type put struct {
	offset uintptr
	set    func(field unsafe.Pointer, v *value)
}

func putOf(f reflect.StructField) put {
	p := put{offset: f.Offset}
	switch f.Type {
	case reflect.TypeFor[float64]():
		p.set = func(field unsafe.Pointer, v *value) { *(*float64)(field) = v.num }
	case reflect.TypeFor[[]float64]():
		p.set = func(field unsafe.Pointer, v *value) { *(*[]float64)(field) = v.nums }
	case reflect.TypeFor[tables.Date]():
		p.set = func(field unsafe.Pointer, v *value) { *(*tables.Date)(field) = v.day }
	case reflect.TypeFor[tables.Count]():
		p.set = func(field unsafe.Pointer, v *value) {
			n := tables.NoCount
			if v.has {
				n = tables.Count(v.num)
			}
			*(*tables.Count)(field) = n
		}
	case reflect.TypeFor[string]():
		p.set = func(field unsafe.Pointer, v *value) { *(*string)(field) = v.text }
	default:
		panic("ingest: no rule for a field of type " + f.Type.String())
	}
	return p
}

// extend makes places for n rows more and gives the first.
func (s *shelf[R]) extend(n int) int {
	base := len(s.rows)
	s.rows = slices.Grow(s.rows, n)[:base+n]
	s.extras = slices.Grow(s.extras, n)[:base+n]
	return base
}

// settle closes the gaps that rows which are not kept leave in the places from
// base on.
func (s *shelf[R]) settle(base int, kept []bool) {
	if slices.Contains(kept, false) {
		s.keep(func(i int) bool { return i < base || kept[i-base] })
	}
}

// keep leaves only the rows for which ok holds; ok sees the shelf as it was.
func (s *shelf[R]) keep(ok func(i int) bool) {
	stays, leaving := make([]bool, len(s.rows)), 0
	for i := range s.rows {
		if stays[i] = ok(i); !stays[i] {
			leaving++
		}
	}
	if leaving == 0 {
		return
	}
	n := 0
	for i := range s.rows {
		if stays[i] {
			s.rows[n], s.extras[n] = s.rows[i], s.extras[i]
			n++
		}
	}
	s.rows, s.extras = s.rows[:n], s.extras[:n]
}

// frame hands the rows on; no rows are the zero Frame.
func (s *shelf[R]) frame() tables.Frame[R] {
	if len(s.rows) == 0 {
		return tables.Frame[R]{}
	}
	return tables.FrameOf(s.rows...)
}

// shelves are the rows of all input tables.
type shelves struct {
	molds  *shelf[tables.Mold]
	pours  *shelf[tables.Pour]
	gaps   *shelf[tables.Gap]
	casts  *shelf[tables.Cast]
	slips  *shelf[tables.Slip]
	forms  *shelf[tables.Form]
	prices *shelf[tables.Price]
	orders *shelf[tables.Order]
}

func newShelves() shelves {
	return shelves{
		newShelf[tables.Mold](), newShelf[tables.Pour](), newShelf[tables.Gap](), newShelf[tables.Cast](),
		newShelf[tables.Slip](), newShelf[tables.Form](), newShelf[tables.Price](), newShelf[tables.Order](),
	}
}

// of is the shelf of a declared table.
func (s shelves) of(table string) taker {
	switch table {
	case s.molds.table.Name:
		return s.molds
	case s.pours.table.Name:
		return s.pours
	case s.gaps.table.Name:
		return s.gaps
	case s.casts.table.Name:
		return s.casts
	case s.slips.table.Name:
		return s.slips
	case s.forms.table.Name:
		return s.forms
	case s.prices.table.Name:
		return s.prices
	case s.orders.table.Name:
		return s.orders
	}
	return nil
}

// studio makes the Arrow tables.
func (s shelves) studio(blocks tables.Blocks) tables.Studio {
	return tables.Studio{
		Molds: s.molds.frame(), Pours: s.pours.frame(), Gaps: s.gaps.frame(), Casts: s.casts.frame(),
		Slips: s.slips.frame(), Forms: s.forms.frame(), Prices: s.prices.frame(), Orders: s.orders.frame(), Blocks: blocks,
	}
}
