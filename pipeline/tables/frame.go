package tables

import (
	"fmt"
	"iter"
	"reflect"
	"runtime"
	"sync"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
)

// Frame is a table held in Arrow, or in a Pack. The zero Frame has no rows.
type Frame[R Row] struct {
	rec     arrow.Record
	pack    *Pack // in place of rec and origins, nil where those hold the rows
	columns []Column
	origins []Origin // one a row, or nil
}

// FrameOf builds a Frame from rows, column by column. Absent values (NaN,
// infinite numbers, NoCount, NoDate, "", nil) become null. Release it after use.
func FrameOf[R Row](rows ...R) Frame[R] {
	t := Of[R]()
	schema := t.Schema()
	columns := make([]arrow.Array, len(t.Columns))
	var wait sync.WaitGroup
	turns := make(chan struct{}, runtime.GOMAXPROCS(0))
	for j, c := range t.Columns {
		wait.Go(func() {
			turns <- struct{}{}
			defer func() { <-turns }()
			columns[j] = arrayOf(schema.Field(j).Type, reflect.ValueOf(rows), c.field)
		})
	}
	wait.Wait()
	f := Frame[R]{rec: array.NewRecord(schema, columns, int64(len(rows))), columns: t.Columns}
	for _, c := range columns {
		c.Release() // the record holds them now
	}
	if _, ok := any(*new(R)).(interface{ From() Origin }); ok && len(rows) > 0 {
		f.origins = make([]Origin, len(rows))
		for i := range rows {
			f.origins[i] = any(&rows[i]).(interface{ From() Origin }).From()
		}
	}
	return f
}

// Release gives the Arrow memory back. A zero Frame may be released.
func (f Frame[R]) Release() {
	if f.rec != nil {
		f.rec.Release()
	}
}

// Len is the number of rows.
func (f Frame[R]) Len() int {
	if f.pack != nil {
		return f.pack.rows
	}
	if f.rec == nil {
		return 0
	}
	return int(f.rec.NumRows())
}

// Table is the frame's declaration.
func (f Frame[R]) Table() Table { return Of[R]() }

// Record is the Arrow record behind the frame, with no rows for a zero Frame.
// The caller releases it.
func (f Frame[R]) Record() arrow.Record {
	if f.pack != nil {
		rows := make([]R, 0, f.Len())
		for _, row := range f.Rows() {
			rows = append(rows, row)
		}
		return FrameOf(rows...).rec
	}
	if f.rec == nil {
		rb := array.NewRecordBuilder(memory.DefaultAllocator, Of[R]().Schema())
		defer rb.Release()
		return rb.NewRecord()
	}
	f.rec.Retain()
	return f.rec
}

// Row returns row i.
func (f Frame[R]) Row(i int) R {
	var row R
	v := reflect.ValueOf(&row).Elem()
	if f.pack != nil {
		f.pack.rowOf(i, v)
		v.FieldByName("Origin").Set(reflect.ValueOf(f.pack.Origin(i)))
		return row
	}
	for j, c := range f.columns {
		readValue(f.rec.Column(j), i, v.Field(c.field))
	}
	if f.origins != nil {
		v.FieldByName("Origin").Set(reflect.ValueOf(f.origins[i]))
	}
	return row
}

// Rows walks over the rows in order.
func (f Frame[R]) Rows() iter.Seq2[int, R] {
	return func(yield func(int, R) bool) {
		for i := range f.Len() {
			if !yield(i, f.Row(i)) {
				return
			}
		}
	}
}

// Origin tells where row i was read; the zero Origin where that is not known.
func (f Frame[R]) Origin(i int) Origin {
	if f.pack != nil {
		return f.pack.Origin(i)
	}
	if f.origins == nil {
		return Origin{}
	}
	return f.origins[i]
}

func (f Frame[R]) columnIndex(name string) int {
	for i, c := range Of[R]().Columns {
		if c.Name == name {
			return i
		}
	}
	panic(fmt.Sprintf("tables: no column %q in %T", name, *new(R)))
}

// Numbers returns a column of numbers, NaN where absent. The slice may be
// Arrow's own memory: read it only, and not after Release.
func (f Frame[R]) Numbers(name string) []float64 {
	j := f.columnIndex(name)
	if f.pack != nil {
		return f.allNumbers(j)
	}
	if f.rec == nil {
		return nil
	}
	col := f.rec.Column(j).(*array.Float64)
	if col.NullN() == 0 {
		return col.Float64Values()
	}
	out := make([]float64, col.Len())
	for i := range out {
		if out[i] = Absent(); col.IsValid(i) {
			out[i] = col.Value(i)
		}
	}
	return out
}

// Texts returns a column of text, "" where absent.
func (f Frame[R]) Texts(name string) []string {
	j := f.columnIndex(name)
	if f.pack != nil {
		return f.allTexts(j)
	}
	out := make([]string, f.Len())
	for i := range out {
		if col := f.rec.Column(j).(*array.String); col.IsValid(i) {
			out[i] = col.Value(i)
		}
	}
	return out
}

// Dates returns a column of days, NoDate where absent.
func (f Frame[R]) Dates(name string) []Date {
	j := f.columnIndex(name)
	if f.pack != nil {
		return f.allDates(j)
	}
	out := make([]Date, f.Len())
	for i := range out {
		out[i] = NoDate
		if col := f.rec.Column(j).(*array.Date32); col.IsValid(i) {
			out[i] = Date(col.Value(i))
		}
	}
	return out
}

// Lists returns a column of several readings a row, nil where absent. The
// slices are Arrow's own memory: read them only, and not after Release.
func (f Frame[R]) Lists(name string) [][]float64 {
	j := f.columnIndex(name)
	if f.pack != nil {
		return f.allLists(j)
	}
	out := make([][]float64, f.Len())
	for i := range out {
		if col := f.rec.Column(j).(*array.List); col.IsValid(i) {
			from, to := col.ValueOffsets(i)
			out[i] = col.ListValues().(*array.Float64).Float64Values()[from:to]
		}
	}
	return out
}

func (f Frame[R]) countOf(j, row int) Count {
	if col := f.rec.Column(j).(*array.Int32); col.IsValid(row) {
		return Count(col.Value(row))
	}
	return NoCount
}
