package tables

import (
	"reflect"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
)

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
