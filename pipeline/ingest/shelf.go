package ingest

import (
	"encoding/binary"
	"reflect"
	"unsafe"

	"moldwright/pipeline/tables"
)

// shelf collects the rows of one input table as they are read.
type shelf[R tables.Row] struct {
	table  tables.Table
	fields []int   // for each declared column its field in R
	puts   []put   // how a value gets into that field
	place  uintptr // offset of the field that holds the Origin
	all    []R
	extras []uint64 // of each row, a hash of the cells that no declared column takes
}

// taker is a shelf of whatever table.
type taker interface {
	part(n int) part // room for about so many rows, to be filled by one core
	join(p part)     // takes over the rows of a part
}

// part is a run of rows on the way to their shelf.
type part interface {
	take(record []value, at tables.Origin, extra uint64)
}

func newShelf[R tables.Row]() *shelf[R] {
	s := &shelf[R]{table: tables.Of[R]()}
	t := reflect.TypeFor[R]()
	for i := range t.NumField() {
		if _, ok := t.Field(i).Tag.Lookup("col"); ok {
			s.fields = append(s.fields, i)
			s.puts = append(s.puts, putOf(t.Field(i)))
		} else if t.Field(i).Type == reflect.TypeFor[tables.Origin]() {
			s.place = t.Field(i).Offset
		}
	}
	return s
}

// shelfPart is the rows that one share gave.
type shelfPart[R tables.Row] struct {
	shelf  *shelf[R]
	rows   []R
	extras []uint64
}

func (s *shelf[R]) part(n int) part { return &shelfPart[R]{shelf: s, rows: make([]R, 0, n)} }

func (s *shelf[R]) join(p part) {
	own := p.(*shelfPart[R])
	s.all, s.extras = append(s.all, own.rows...), append(s.extras, own.extras...)
}

// take appends a row; record has one value for each declared column.
func (p *shelfPart[R]) take(record []value, at tables.Origin, extra uint64) {
	p.extras = append(p.extras, extra)
	p.rows = append(p.rows, *new(R))
	row := unsafe.Pointer(&p.rows[len(p.rows)-1])
	for i, put := range p.shelf.puts {
		put.set(unsafe.Add(row, put.offset), &record[i])
	}
	*(*tables.Origin)(unsafe.Add(row, p.shelf.place)) = at
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

func (s *shelf[R]) rows() int { return len(s.all) }

func (s *shelf[R]) origin(row int) tables.Origin { return originOf(&s.all[row]) }

func (s *shelf[R]) bytes(buf []byte, row int) []byte {
	return binary.LittleEndian.AppendUint64(appendRow(buf, &s.all[row], s.fields), s.extras[row])
}

// keep leaves only the rows for which ok holds; ok sees the shelf as it was.
func (s *shelf[R]) keep(ok func(i int) bool) {
	stays, leaving := make([]bool, len(s.all)), 0
	for i := range s.all {
		if stays[i] = ok(i); !stays[i] {
			leaving++
		}
	}
	if leaving == 0 {
		return
	}
	n := 0
	for i := range s.all {
		if stays[i] {
			s.all[n], s.extras[n] = s.all[i], s.extras[i]
			n++
		}
	}
	s.all, s.extras = s.all[:n], s.extras[:n]
}

// frame hands the rows on; no rows are the zero Frame.
func (s *shelf[R]) frame() tables.Frame[R] {
	if len(s.all) == 0 {
		return tables.Frame[R]{}
	}
	return tables.FrameOf(s.all...)
}

// shelves are the rows of all input tables.
type shelves struct {
	molds  *shelf[tables.Mold]
	pours  *shelf[tables.Pour]
	gaps   *shelf[tables.Gap]
	casts  *castShelf
	slips  *shelf[tables.Slip]
	forms  *shelf[tables.Form]
	prices *shelf[tables.Price]
	orders *shelf[tables.Order]
}

func newShelves() shelves {
	return shelves{
		newShelf[tables.Mold](), newShelf[tables.Pour](), newShelf[tables.Gap](), newCastShelf(),
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
	case s.casts.pack.Table().Name:
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
