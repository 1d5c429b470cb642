package tables

import (
	"math"
	"reflect"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
)

// appendValue adds a Go value to an Arrow builder, null where it is absent.
// Infinite numbers count as absent too: no output may show one.
func appendValue(b array.Builder, v reflect.Value) {
	switch b := b.(type) {
	case *array.StringBuilder:
		if s := v.String(); s == "" {
			b.AppendNull()
		} else {
			b.Append(s)
		}
	case *array.Float64Builder:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			b.AppendNull()
		} else {
			b.Append(x)
		}
	case *array.Int32Builder:
		if n := int32(v.Int()); n == int32(NoCount) {
			b.AppendNull()
		} else {
			b.Append(n)
		}
	case *array.Date32Builder:
		if d := Date(v.Int()); d == NoDate {
			b.AppendNull()
		} else {
			b.Append(arrow.Date32(d))
		}
	case *array.BooleanBuilder:
		b.Append(v.Bool())
	case *array.ListBuilder:
		xs := v.Interface().([]float64)
		if xs == nil {
			b.AppendNull()
			return
		}
		b.Append(true)
		for _, x := range xs {
			b.ValueBuilder().(*array.Float64Builder).Append(x)
		}
	default:
		panic("tables: no rule for builder " + b.Type().String())
	}
}

// readValue sets v from element i of an Arrow array; null gives the absent value.
func readValue(a arrow.Array, i int, v reflect.Value) {
	null := a.IsNull(i)
	switch a := a.(type) {
	case *array.String:
		if !null {
			v.SetString(a.Value(i))
		}
	case *array.Float64:
		if v.SetFloat(Absent()); !null {
			v.SetFloat(a.Value(i))
		}
	case *array.Int32:
		if v.SetInt(int64(NoCount)); !null {
			v.SetInt(int64(a.Value(i)))
		}
	case *array.Date32:
		if v.SetInt(int64(NoDate)); !null {
			v.SetInt(int64(a.Value(i)))
		}
	case *array.Boolean:
		v.SetBool(!null && a.Value(i))
	case *array.List:
		if null {
			return
		}
		from, to := a.ValueOffsets(i)
		vals := a.ListValues().(*array.Float64).Float64Values()[from:to]
		v.Set(reflect.ValueOf(append(make([]float64, 0, len(vals)), vals...)))
	default:
		panic("tables: no rule for array " + a.DataType().String())
	}
}
