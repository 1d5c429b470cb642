package tables

import (
	"math"
	"reflect"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/bitutil"
	"github.com/apache/arrow/go/v17/arrow/memory"
)

// arrayOf is one field of all rows as an Arrow array, null where it is absent.
// It fills the array's memory itself: a builder's checks for every value cost
// more than the rest of it. Kinds of columns that are rare go through a builder.
func arrayOf(t arrow.DataType, rows reflect.Value, field int) arrow.Array {
	n := rows.Len()
	valid := validity{bits: make([]byte, bitutil.BytesForBits(int64(n)))}
	switch t.ID() {
	case arrow.FLOAT64:
		values := make([]float64, n)
		for i := range values {
			if x := rows.Index(i).Field(field).Float(); !math.IsNaN(x) && !math.IsInf(x, 0) {
				values[i] = x
				valid.set(i)
			}
		}
		return finish(t, n, valid, arrow.Float64Traits.CastToBytes(values))
	case arrow.INT32, arrow.DATE32:
		values := make([]int32, n)
		absent := int32(NoCount)
		if t.ID() == arrow.DATE32 {
			absent = int32(NoDate)
		}
		for i := range values {
			if x := int32(rows.Index(i).Field(field).Int()); x != absent {
				values[i] = x
				valid.set(i)
			}
		}
		return finish(t, n, valid, arrow.Int32Traits.CastToBytes(values))
	case arrow.STRING:
		return textsOf(t, rows, field, valid)
	case arrow.LIST:
		return listsOf(t, rows, field, valid)
	}
	b := array.NewBuilder(memory.DefaultAllocator, t)
	defer b.Release()
	b.Reserve(n)
	for i := range n {
		appendValue(b, rows.Index(i).Field(field))
	}
	return b.NewArray()
}

func textsOf(t arrow.DataType, rows reflect.Value, field int, valid validity) arrow.Array {
	n, size := rows.Len(), 0
	for i := range n {
		size += rows.Index(i).Field(field).Len()
	}
	if size > math.MaxInt32 {
		panic("tables: a column holds more than 2 GiB of text")
	}
	offsets, text := make([]int32, n+1), make([]byte, 0, size)
	for i := range n {
		if s := rows.Index(i).Field(field).String(); s != "" {
			text = append(text, s...)
			valid.set(i)
		}
		offsets[i+1] = int32(len(text))
	}
	return finish(t, n, valid, arrow.Int32Traits.CastToBytes(offsets), text)
}

// listsOf is a field of several readings a row.
func listsOf(t arrow.DataType, rows reflect.Value, field int, valid validity) arrow.Array {
	n, size := rows.Len(), 0
	for i := range n {
		size += rows.Index(i).Field(field).Len()
	}
	if size > math.MaxInt32 {
		panic("tables: a column holds more than 2^31 readings")
	}
	offsets, values := make([]int32, n+1), make([]float64, 0, size)
	for i := range n {
		if list := rows.Index(i).Field(field); !list.IsNil() {
			valid.set(i)
			for k := range list.Len() {
				values = append(values, list.Index(k).Float())
			}
		}
		offsets[i+1] = int32(len(values))
	}
	item := t.(*arrow.ListType).Elem()
	inner := array.NewData(item, size, []*memory.Buffer{nil, memory.NewBufferBytes(arrow.Float64Traits.CastToBytes(values))}, nil, 0, 0)
	defer inner.Release()
	buffers := []*memory.Buffer{memory.NewBufferBytes(valid.bits), memory.NewBufferBytes(arrow.Int32Traits.CastToBytes(offsets))}
	data := array.NewData(t, n, buffers, []arrow.ArrayData{inner}, n-bitutil.CountSetBits(valid.bits, 0, n), 0)
	defer data.Release()
	return array.MakeFromData(data)
}

// validity are the bits that tell which values are there.
type validity struct {
	bits []byte
}

func (v validity) set(i int) { v.bits[i/8] |= 1 << (i % 8) }

func finish(t arrow.DataType, n int, valid validity, buffers ...[]byte) arrow.Array {
	nulls := n - bitutil.CountSetBits(valid.bits, 0, n)
	all := []*memory.Buffer{memory.NewBufferBytes(valid.bits)}
	for _, b := range buffers {
		all = append(all, memory.NewBufferBytes(b))
	}
	data := array.NewData(t, n, all, nil, nulls, 0)
	defer data.Release()
	return array.MakeFromData(data)
}
