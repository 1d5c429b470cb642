package tables

import (
	"fmt"
	"math"
	"reflect"
	"unsafe"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/bitutil"
	"github.com/apache/arrow/go/v17/arrow/memory"
)

// fields is one field of all rows, as it lies in their memory. Reflection for
// every value would cost more than all the rest of building a frame.
type fields struct {
	first  unsafe.Pointer // the field in the first row
	stride uintptr        // from row to row
	n      int
}

// fieldsOf finds a field in a slice of rows, which must outlive it.
func fieldsOf(rows reflect.Value, field int) fields {
	row := rows.Type().Elem()
	return fields{unsafe.Add(rows.UnsafePointer(), row.Field(field).Offset), row.Size(), rows.Len()}
}

// at is the field in row i as a T, which must be how it lies in memory.
func at[T any](f fields, i int) T {
	return *(*T)(unsafe.Add(f.first, uintptr(i)*f.stride))
}

// arrayOf is one field of all rows as an Arrow array, null where it is absent.
// It fills the array's memory itself: a builder's checks for every value cost
// more than the rest of it.
func arrayOf(t arrow.DataType, rows reflect.Value, field int) arrow.Array {
	n := rows.Len()
	if n == 0 {
		b := array.NewBuilder(memory.DefaultAllocator, t)
		defer b.Release()
		return b.NewArray()
	}
	valid := validity{bits: make([]byte, bitutil.BytesForBits(int64(n)))}
	f, kind := fieldsOf(rows, field), rows.Type().Elem().Field(field).Type
	switch {
	case t.ID() == arrow.FLOAT64 && kind.Kind() == reflect.Float64:
		values := make([]float64, n)
		for i := range values {
			if x := at[float64](f, i); !math.IsNaN(x) && !math.IsInf(x, 0) {
				values[i] = x
				valid.set(i)
			}
		}
		return finish(t, n, valid, arrow.Float64Traits.CastToBytes(values))
	case t.ID() == arrow.INT32 && kind.Kind() == reflect.Int32:
		return integersOf(t, f, valid, int32(NoCount))
	case t.ID() == arrow.DATE32 && kind.Kind() == reflect.Int32:
		return integersOf(t, f, valid, int32(NoDate))
	case t.ID() == arrow.STRING && kind.Kind() == reflect.String:
		return textsOf(t, f, valid)
	case t.ID() == arrow.LIST && kind == reflect.TypeFor[[]float64]():
		return listsOf(t, f, valid)
	}
	if t.ID() != arrow.BOOL || kind.Kind() != reflect.Bool {
		panic("tables: no rule for a field of type " + kind.String() + " in a column of " + t.String())
	}
	b := array.NewBooleanBuilder(memory.DefaultAllocator)
	defer b.Release()
	for i := range n {
		b.Append(at[bool](f, i))
	}
	return b.NewArray()
}

func integersOf(t arrow.DataType, f fields, valid validity, absent int32) arrow.Array {
	values := make([]int32, f.n)
	for i := range values {
		if x := at[int32](f, i); x != absent {
			values[i] = x
			valid.set(i)
		}
	}
	return finish(t, f.n, valid, arrow.Int32Traits.CastToBytes(values))
}

func textsOf(t arrow.DataType, f fields, valid validity) arrow.Array {
	size := 0
	for i := range f.n {
		size += len(at[string](f, i))
	}
	offsets, text := make([]int32, f.n+1), make([]byte, 0, checked(size))
	for i := range f.n {
		if s := at[string](f, i); s != "" {
			text = append(text, s...)
			valid.set(i)
		}
		offsets[i+1] = int32(len(text))
	}
	return finish(t, f.n, valid, arrow.Int32Traits.CastToBytes(offsets), text)
}

func listsOf(t arrow.DataType, f fields, valid validity) arrow.Array {
	size := 0
	for i := range f.n {
		size += len(at[[]float64](f, i))
	}
	offsets, values := make([]int32, f.n+1), make([]float64, 0, checked(size))
	all := validity{bits: make([]byte, bitutil.BytesForBits(int64(size)))}
	for i := range f.n {
		xs := at[[]float64](f, i)
		if xs != nil {
			valid.set(i)
		}
		for _, x := range xs {
			all.set(len(values))
			values = append(values, x)
		}
		offsets[i+1] = int32(len(values))
	}
	child := data(arrow.PrimitiveTypes.Float64, size, all, arrow.Float64Traits.CastToBytes(values))
	defer child.Release()
	d := data(t, f.n, valid, arrow.Int32Traits.CastToBytes(offsets))
	defer d.Release()
	lists := array.NewData(t, f.n, d.Buffers(), []arrow.ArrayData{child}, d.NullN(), 0)
	defer lists.Release()
	return array.MakeFromData(lists)
}

// checked is a size that Arrow's offsets can count.
func checked(size int) int {
	if size > math.MaxInt32 {
		panic(fmt.Sprintf("tables: a column holds %d bytes or readings, more than can be counted", size))
	}
	return size
}

// validity are the bits that tell which values are there.
type validity struct {
	bits []byte
}

func (v validity) set(i int) { v.bits[i/8] |= 1 << (i % 8) }

func finish(t arrow.DataType, n int, valid validity, buffers ...[]byte) arrow.Array {
	d := data(t, n, valid, buffers...)
	defer d.Release()
	return array.MakeFromData(d)
}

func data(t arrow.DataType, n int, valid validity, buffers ...[]byte) arrow.ArrayData {
	all := []*memory.Buffer{memory.NewBufferBytes(valid.bits)}
	for _, b := range buffers {
		all = append(all, memory.NewBufferBytes(b))
	}
	return array.NewData(t, n, all, nil, n-bitutil.CountSetBits(valid.bits, 0, n), 0)
}
