package ingest

import (
	"fmt"
	"math"
	"strconv"

	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// limit is the range in which a value of a column is believed, in the unit of
// the column's declaration. Zero says that 0 is believed too although it lies
// below low.
type limit struct {
	low, high float64
	zero      bool
}

func (l limit) holds(x float64) bool {
	return x >= l.low && x <= l.high || l.zero && x == 0
}

// limits is the one place where ranges stand. They are wide: they are there to
// catch a wrong unit, a lost decimal mark or a number in the wrong column, not an
// unusual studio. A value outside is not used, and a row that needs it is set
// aside. Common practice, no source.
var limits = map[string]limit{
	"molds.casts_before_log": {low: 0, high: 5000},

	"pours.plaster":            {low: 0.05, high: 500},
	"pours.water":              {low: 0.05, high: 500},
	"pours.inside_diameter":    {low: 20, high: 3000},
	"pours.inside_length":      {low: 20, high: 3000},
	"pours.inside_width":       {low: 20, high: 3000},
	"pours.plaster_over_model": {low: 1, high: 500, zero: true},
	"pours.model_volume":       {low: 0.005, high: 500},
	"pours.leftover":           {low: 0, high: 500},
	"pours.spilled":            {low: 0, high: 500},
	"pours.trimmed":            {low: 0, high: 500},

	"gaps.height": {low: 1, high: 3000, zero: true},
	"gaps.gap":    {low: 1, high: 1000},

	"casts.time":             {low: 0, high: 1440},
	"casts.dwell":            {low: 1, high: 720},
	"casts.wall":             {low: 0.5, high: 30},
	"casts.demold":           {low: 1, high: 7200},
	"casts.mold_mass":        {low: 0.05, high: 200},
	"casts.room_temperature": {low: -10, high: 45},
	"casts.room_humidity":    {low: 0.05, high: 1},
	"casts.age":              {low: 0, high: 5000},

	"slips.specific_gravity": {low: 1.2, high: 2.2},
	"slips.temperature":      {low: 0, high: 60},

	"forms.target_wall":        {low: 0.5, high: 30},
	"forms.wall_tolerance":     {low: 0.05, high: 10},
	"forms.longest_dwell":      {low: 1, high: 720},
	"forms.casts_per_day":      {low: 0.05, high: 50},
	"forms.rest_hours":         {low: 0.1, high: 720, zero: true},
	"forms.pieces_per_kg_slip": {low: 0.01, high: 1000},
	"forms.drying_shrinkage":   {low: 0.005, high: 0.15, zero: true},
	"forms.firing_shrinkage":   {low: 0.005, high: 0.25, zero: true},
	"forms.target_fired_wall":  {low: 0.5, high: 30},

	"prices.price":  {low: 0, high: 100_000},
	"orders.pieces": {low: 1, high: 1_000_000},
}

// Days before or after which a date is not believed.
var (
	earliestDay = tables.MakeDate(1980, 1, 1)
	latestDay   = tables.MakeDate(2100, 1, 1)
)

// limitOf is the range of a column; a column without one takes any number.
func limitOf(table, column string) limit {
	if l, ok := limits[table+"."+column]; ok {
		return l
	}
	return limit{low: -math.MaxFloat64, high: math.MaxFloat64}
}

// otherUnits are those that are tried on a number that is not believed, the
// likeliest first.
var otherUnits = []struct{ name, words string }{
	{"in", "inches"}, {"cm", "centimeters"}, {"lb", "pounds"}, {"g", "grams"}, {"oz", "ounces"}, {"h", "hours"}, {"s", "seconds"},
	{"mL", "milliliters"}, {"qt", "quarts"}, {"°F", "degrees Fahrenheit"}, {"%", "percent"}, {"g/L", "grams per litre"},
}

// beyond says that x, in the column's unit, is not believed, and guesses at why:
// with which other unit the number as written would be.
func beyond(c tables.Column, l limit, x, written float64) *fault {
	f := &fault{code: CodeOutOfRange}
	f.message = fmt.Sprintf("%s is read as %s, which is not plausible: %s to %s are believed",
		c.Name, withUnit(x, c.Unit), brief(l.low), withUnit(l.high, c.Unit))
	f.mend = "correct the value"
	dim := quantity.DimensionOf(c)
	keep := quantity.Standing(c)
	for _, other := range otherUnits {
		u, ok := quantity.LookUnit(other.name, dim)
		if ok && tables.Has(written) && u.Scale != keep.Scale && l.holds((u.Base(written)-keep.Offset)/keep.Scale) {
			f.mend = fmt.Sprintf("correct the value; if %s are meant, write the unit in the header or in the cell", other.words)
			break
		}
	}
	if (dim == quantity.Length || dim == quantity.Mass) && written > 30_000 && written < 60_000 && written == math.Trunc(written) {
		f.mend = "spreadsheet programs turn a fraction such as 3/16 into a date: format the cell as text and write the fraction again, with its unit"
	}
	if dim == quantity.Duration && x > l.high {
		f.mend = "correct the value; if minutes and seconds are meant, write [mm:ss] in the header"
	}
	return f
}

func withUnit(x float64, unit string) string {
	if unit == "" {
		return brief(x)
	}
	return brief(x) + " " + unit
}

// brief writes a number for a message: four digits that count, no exponent.
func brief(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) >= 1e15 {
		return "a number too large to show"
	}
	if x == 0 {
		return "0"
	}
	decimals := min(max(0, 3-int(math.Floor(math.Log10(math.Abs(x))))), 9)
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if decimals > 0 {
		for s[len(s)-1] == '0' {
			s = s[:len(s)-1]
		}
		if s[len(s)-1] == '.' {
			s = s[:len(s)-1]
		}
	}
	if s == "-0" {
		return "0"
	}
	return s
}
