package ingest

import (
	"reflect"
	"slices"

	"moldwright/pipeline/tables"
)

// shelf collects the rows of one input table as they are read.
type shelf[R tables.Row] struct {
	table  tables.Table
	fields []int // for each declared column its field in R
	puts   []put // how a value gets into that field
	origin int   // the field that holds the Origin
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
			s.puts = append(s.puts, putOf(t.Field(i).Type))
		} else if t.Field(i).Type == reflect.TypeFor[tables.Origin]() {
			s.origin = i
		}
	}
	return s
}

// take puts a row in its place; record has one value for each declared column.
func (s *shelf[R]) take(place int, record []value, at tables.Origin, extra uint64) {
	s.extras[place] = extra
	v := reflect.ValueOf(&s.rows[place]).Elem()
	for i, f := range s.fields {
		s.puts[i](v.Field(f), &record[i])
	}
	*v.Field(s.origin).Addr().Interface().(*tables.Origin) = at
}

// put sets a field of a row; a value that is not there leaves the field's own
// sign for absent.
type put func(field reflect.Value, v *value)

func putOf(t reflect.Type) put {
	switch t {
	case reflect.TypeFor[float64]():
		return func(field reflect.Value, v *value) { field.SetFloat(v.num) }
	case reflect.TypeFor[[]float64]():
		return func(field reflect.Value, v *value) {
			if v.nums != nil {
				field.Set(reflect.ValueOf(v.nums))
			}
		}
	case reflect.TypeFor[tables.Date]():
		return func(field reflect.Value, v *value) { field.SetInt(int64(v.day)) }
	case reflect.TypeFor[tables.Count]():
		return func(field reflect.Value, v *value) {
			if field.SetInt(int64(tables.NoCount)); v.has {
				field.SetInt(int64(v.num))
			}
		}
	}
	return func(field reflect.Value, v *value) { field.SetString(v.text) }
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
