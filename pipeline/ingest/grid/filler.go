package grid

import (
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"

	"moldwright/pipeline/ingest/quantity"
)

// filler fills one column of a sheet, or several for lists of readings, from
// the arrays of one field.
type filler struct {
	name    string
	unit    string // as Moldwright's own tables state it, "" where it is not stated
	field   arrow.DataType
	columns []*column
	row     int // of the sheet, the next to be filled
	cut     int // readings beyond MaxReadings
	zone    *time.Location
	zoneBad bool
}

func newFiller(f arrow.Field) *filler {
	out := &filler{name: f.Name, field: f.Type, row: 1}
	if unit, ok := f.Metadata.GetValue("unit"); ok && len(unit) < 20 {
		out.unit = unit
	}
	if t, ok := f.Type.(*arrow.TimestampType); ok && t.TimeZone != "" {
		zone, err := t.GetZone()
		out.zone, out.zoneBad = zone, err != nil
	}
	if !out.refused() && !isList(f.Type) {
		out.columns = []*column{columnFor(f.Type)}
	}
	return out
}

// refused reports whether the column is left out: nothing here knows its type,
// or the zone of its times.
func (f *filler) refused() bool { return !supported(f.field) || f.zoneBad }

func columnFor(t arrow.DataType) *column {
	switch t := t.(type) {
	case *arrow.DictionaryType:
		return columnFor(t.ValueType)
	case *arrow.StringType, *arrow.LargeStringType, *arrow.StringViewType, *arrow.NullType:
		return newColumn()
	case *arrow.BooleanType:
		return newTyped(IsTruth)
	case *arrow.Date32Type, *arrow.Date64Type:
		return newTyped(IsDay)
	case *arrow.TimestampType:
		return newTyped(IsMoment)
	case *arrow.Time32Type, *arrow.Time64Type:
		return newTyped(IsClock)
	case *arrow.DurationType:
		return newTyped(IsSpan)
	}
	c := newTyped(IsNumber)
	c.typed.short = t.ID() == arrow.FLOAT32 || t.ID() == arrow.FLOAT16
	return c
}

// add appends an array of the field.
func (f *filler) add(a arrow.Array) error {
	n := a.Len()
	switch a := a.(type) {
	case *array.Null:
	case *array.Dictionary:
		f.dictionary(a)
	case array.ListLike:
		f.lists(a)
	default:
		code, err := f.coder(f.columns[0], a)
		if err != nil {
			return err
		}
		for i := range n {
			if a.IsValid(i) {
				f.columns[0].set(f.row+i, code(i))
			}
		}
	}
	f.row += n
	return nil
}

// dictionary looks up each value once and not once a row.
func (f *filler) dictionary(a *array.Dictionary) {
	values := a.Dictionary()
	code, err := f.coder(f.columns[0], values)
	if err != nil {
		panic(err)
	}
	known := make([]uint32, values.Len()) // code plus one, 0 for not yet
	for i := range a.Len() {
		if a.IsNull(i) {
			continue
		}
		k := a.GetValueIndex(i)
		if known[k] == 0 {
			if known[k] = 1; values.IsValid(k) {
				known[k] = code(k) + 1
			}
		}
		f.columns[0].set(f.row+i, known[k]-1)
	}
}

// lists puts the first reading of each row into one column, the second into
// another.
func (f *filler) lists(a array.ListLike) {
	values := a.ListValues()
	var codes []func(int) uint32
	for i := range a.Len() {
		if a.IsNull(i) {
			continue
		}
		from, to := a.ValueOffsets(i)
		place := 0
		for k := int(from); k < int(to); k++ {
			if values.IsNull(k) {
				continue
			}
			if place == MaxReadings {
				f.cut++
				continue
			}
			if place == len(f.columns) {
				f.columns = append(f.columns, columnFor(values.DataType()))
			}
			for len(codes) <= place {
				code, err := f.coder(f.columns[len(codes)], values)
				if err != nil {
					panic(err)
				}
				codes = append(codes, code)
			}
			f.columns[place].set(f.row+i, codes[place](k))
			place++
		}
	}
}

// coder gives the codes of an array's values in a column.
func (f *filler) coder(c *column, a arrow.Array) (func(i int) uint32, error) {
	if texts, ok := a.(interface{ Value(int) string }); ok && c.typed == nil {
		return func(i int) uint32 { return c.codeOf(cleanText(texts.Value(i)), strings.Clone) }, nil
	}
	if c.typed == nil {
		return nil, damagedFile
	}
	number, err := f.numbers(a)
	if err != nil {
		return nil, err
	}
	return func(i int) uint32 { return c.typed.code(number(i)) }, nil
}

func cleanText(s string) string { return quantity.Clean(strings.ToValidUTF8(s, "�")) }

func plainNumber[T int8 | int16 | int32 | int64 | uint8 | uint16 | uint32 | uint64 | float32 | float64](at func(int) T) func(int) float64 {
	return func(i int) float64 { return float64(at(i)) }
}

// numbers gives an array's values as typed columns keep them.
func (f *filler) numbers(a arrow.Array) (func(i int) float64, error) {
	switch a := a.(type) {
	case *array.Float64:
		return a.Value, nil
	case *array.Float32:
		return plainNumber(a.Value), nil
	case *array.Float16:
		return func(i int) float64 { return float64(a.Value(i).Float32()) }, nil
	case *array.Int8:
		return plainNumber(a.Value), nil
	case *array.Int16:
		return plainNumber(a.Value), nil
	case *array.Int32:
		return plainNumber(a.Value), nil
	case *array.Int64:
		return plainNumber(a.Value), nil
	case *array.Uint8:
		return plainNumber(a.Value), nil
	case *array.Uint16:
		return plainNumber(a.Value), nil
	case *array.Uint32:
		return plainNumber(a.Value), nil
	case *array.Uint64:
		return plainNumber(a.Value), nil
	case *array.Decimal128:
		scale := a.DataType().(*arrow.Decimal128Type).Scale
		return func(i int) float64 { return decimal(a.Value(i).ToString(scale)) }, nil
	case *array.Decimal256:
		scale := a.DataType().(*arrow.Decimal256Type).Scale
		return func(i int) float64 { return decimal(a.Value(i).ToString(scale)) }, nil
	case *array.Boolean:
		return func(i int) float64 {
			if a.Value(i) {
				return 1
			}
			return 0
		}, nil
	}
	return f.times(a)
}

func decimal(s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

func (f *filler) times(a arrow.Array) (func(i int) float64, error) {
	switch a := a.(type) {
	case *array.Date32:
		return func(i int) float64 { return float64(a.Value(i)) }, nil
	case *array.Date64:
		return func(i int) float64 { return math.Floor(float64(a.Value(i)) / 86_400_000) }, nil
	case *array.Timestamp:
		unit := a.DataType().(*arrow.TimestampType).Unit.Multiplier().Seconds()
		return func(i int) float64 { return f.local(int64(a.Value(i)), unit) }, nil
	case *array.Time32:
		unit := a.DataType().(*arrow.Time32Type).Unit.Multiplier().Seconds()
		return func(i int) float64 { return perMinute(float64(a.Value(i)), unit) }, nil
	case *array.Time64:
		unit := a.DataType().(*arrow.Time64Type).Unit.Multiplier().Seconds()
		return func(i int) float64 { return perMinute(float64(a.Value(i)), unit) }, nil
	case *array.Duration:
		unit := a.DataType().(*arrow.DurationType).Unit.Multiplier().Seconds()
		return func(i int) float64 { return perMinute(float64(a.Value(i)), unit) }, nil
	}
	return nil, damagedFile
}

// perMinute turns a count of units into minutes, rounding once.
func perMinute(x, unit float64) float64 { return x / math.Round(1/unit) / 60 }

// local is a moment as clocks showed it in the zone of the column, in seconds.
func (f *filler) local(x int64, unit float64) float64 {
	per := int64(math.Round(1 / unit))
	whole, part := x/per, x%per
	if part < 0 {
		whole, part = whole-1, part+per
	}
	if f.zone != nil {
		_, offset := time.Unix(whole, 0).In(f.zone).Zone()
		whole += int64(offset)
	}
	return float64(whole) + float64(part)/float64(per)
}
