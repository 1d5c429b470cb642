// Package tables declares every table of Moldwright once, the ones that are
// read and the ones that come out, and moves rows in and out of Arrow.
//
// A table is a Go struct whose field tags name the columns:
//
//	col      the column's name, a contract with readers of the outputs
//	unit     the unit in which the value is kept
//	kind     what is measured; tells the reader of spreadsheets how to parse it
//	need     "required" where a row without the value cannot be used
//	choices  the words allowed, separated by |
//	doc      what the column means, for the template and the column page
//
// The Arrow schema, the CSV header, the Parquet file, the log template and the
// documentation all come from these declarations. Nothing else in the project
// handles Arrow builders. This package imports nothing of the project.
package tables

import (
	"fmt"
	"math"
	"reflect"
	"strings"

	"github.com/apache/arrow/go/v17/arrow"
)

// Row is a struct that declares a table. Its method gives the table's name
// and a sentence on what one row is.
type Row interface {
	TableName() (name, doc string)
}

// Column is one declared column of a table.
type Column struct {
	Name     string
	Unit     string // unit in which values are kept, "" for text and pure numbers
	Kind     string // for input tables: how a cell is read, see the Kind constants
	Doc      string
	Required bool
	Choices  []string
	Type     arrow.DataType

	field int // index in the Go struct
}

// Kinds of input column: what a cell of it holds.
const (
	KindID          = "id"          // a name or code that other tables refer to
	KindText        = "text"        // free text
	KindChoice      = "choice"      // one of Column.Choices
	KindDate        = "date"        // a calendar day
	KindClock       = "clock"       // a time of day
	KindDuration    = "duration"    // a length of time
	KindLength      = "length"      // a distance
	KindMass        = "mass"        // a mass
	KindVolume      = "volume"      // a volume
	KindTemperature = "temperature" // a temperature
	KindShare       = "share"       // a part of one, also written in percent
	KindNumber      = "number"      // a pure number
	KindCount       = "count"       // a whole number, zero or more
	KindLengths     = "lengths"     // several readings of one length: name_1 … name_n
)

// Table is the declaration of a table.
type Table struct {
	Name    string
	Doc     string
	Columns []Column
}

// Column returns the column of that name and whether there is one.
func (t Table) Column(name string) (Column, bool) {
	for _, c := range t.Columns {
		if c.Name == name {
			return c, true
		}
	}
	return Column{}, false
}

// Names returns the column names in order.
func (t Table) Names() []string {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = c.Name
	}
	return names
}

// Of returns the declaration of the table whose rows are R. It panics where R
// is declared wrongly, which the tests of this package would show.
func Of[R Row]() Table {
	var zero R
	name, doc := zero.TableName()
	return Table{Name: name, Doc: doc, Columns: columnsOf(reflect.TypeOf(zero))}
}

func columnsOf(t reflect.Type) []Column {
	var cols []Column
	for i := range t.NumField() {
		f := t.Field(i)
		name, ok := f.Tag.Lookup("col")
		if !ok {
			continue
		}
		c := Column{
			Name: name, Unit: f.Tag.Get("unit"), Kind: f.Tag.Get("kind"), Doc: f.Tag.Get("doc"),
			Required: f.Tag.Get("need") == "required", Type: arrowType(f.Type), field: i,
		}
		if ch := f.Tag.Get("choices"); ch != "" {
			c.Choices = strings.Split(ch, "|")
		}
		cols = append(cols, c)
	}
	return cols
}

func arrowType(t reflect.Type) arrow.DataType {
	switch t {
	case reflect.TypeFor[string]():
		return arrow.BinaryTypes.String
	case reflect.TypeFor[float64]():
		return arrow.PrimitiveTypes.Float64
	case reflect.TypeFor[Count](), reflect.TypeFor[int32]():
		return arrow.PrimitiveTypes.Int32
	case reflect.TypeFor[Date]():
		return arrow.FixedWidthTypes.Date32
	case reflect.TypeFor[bool]():
		return arrow.FixedWidthTypes.Boolean
	case reflect.TypeFor[[]float64]():
		return arrow.ListOf(arrow.PrimitiveTypes.Float64)
	}
	panic(fmt.Sprintf("tables: no Arrow type for Go type %v", t))
}

// Schema is the Arrow schema of the declared columns. Every field is nullable:
// an absent value is null. Units and meanings travel as field metadata.
func (t Table) Schema() *arrow.Schema {
	fields := make([]arrow.Field, len(t.Columns))
	for i, c := range t.Columns {
		fields[i] = arrow.Field{
			Name: c.Name, Type: c.Type, Nullable: true,
			Metadata: arrow.NewMetadata([]string{"unit", "doc"}, []string{c.Unit, c.Doc}),
		}
	}
	return arrow.NewSchema(fields, nil)
}

// Count is a whole number; NoCount stands for an absent one and is null in Arrow.
type Count int32

// NoCount is the absent Count.
const NoCount Count = math.MinInt32

// Absent is the absent number: NaN in Go, null in Arrow, an empty cell in CSV.
func Absent() float64 { return math.NaN() }

// Has reports whether a number is present (not the absent one).
func Has(x float64) bool { return !math.IsNaN(x) }
