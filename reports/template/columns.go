package template

import (
	"fmt"
	"strings"

	"moldwright/pipeline/tables"
)

// field is one column of a sheet: a declared column, or one reading of a
// declared column that takes several.
type field struct {
	tables.Column
	header   string
	required bool // this reading, not only its column
	reading  int  // 1 for the first
}

// readings is how many columns a declared column of several readings gets.
func readings(c tables.Column) int {
	switch {
	case c.Kind != tables.KindLengths:
		return 1
	case c.Name == "gap":
		return 4 // one on each side of the model
	}
	return 3
}

// fields are the columns of a table's sheet, in the declared order. The *_basis
// columns have none: they are told by words in the header.
func fields(t tables.Table) []field {
	var out []field
	for _, c := range t.Columns {
		if strings.HasSuffix(c.Name, "_basis") {
			continue
		}
		n := readings(c)
		for i := range n {
			name := strings.ReplaceAll(c.Name, "_", " ")
			if n > 1 {
				name = fmt.Sprintf("%s %d", name, i+1)
			}
			out = append(out, field{Column: c, header: capital(name) + unitOf(c), required: c.Required && i == 0, reading: i + 1})
		}
	}
	return out
}

// unitOf is the unit in brackets, for the kinds that are written with one.
func unitOf(c tables.Column) string {
	switch c.Kind {
	case tables.KindClock:
		return " (hh:mm)"
	case tables.KindDuration, tables.KindLength, tables.KindLengths, tables.KindMass, tables.KindVolume, tables.KindTemperature:
		return " (" + c.Unit + ")"
	}
	return ""
}

// sheetName is the table's name with a capital: "Casts".
func sheetName(t tables.Table) string { return capital(t.Name) }

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// lists finds the table whose names a column refers to: a column "mold" outside
// the table "molds" takes its names from there.
func (b *builder) lists(t tables.Table, c tables.Column) (tables.Table, bool) {
	if c.Kind != tables.KindID {
		return tables.Table{}, false
	}
	for _, other := range b.inputs {
		if other.Name == c.Name+"s" && other.Name != t.Name {
			return other, true
		}
	}
	return tables.Table{}, false
}

// isKey reports whether the column names the table's own rows.
func isKey(t tables.Table, c tables.Column) bool {
	return c.Kind == tables.KindID && c.Required && c.Name+"s" == t.Name
}

// letter is the spreadsheet letter of a column of a table's sheet.
func letter(t tables.Table, column string) string {
	for i, f := range fields(t) {
		if f.Name == column {
			return string(rune('A' + i)) // no sheet has more than 26 columns; a test says so
		}
	}
	panic(fmt.Sprintf("template: table %s has no column %q", t.Name, column))
}
