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
	{"in", "inches"}, {"mm", "millimeters"}, {"cm", "centimeters"}, {"kg", "kilograms"}, {"lb", "pounds"}, {"g", "grams"}, {"oz", "ounces"},
	{"min", "minutes"}, {"h", "hours"}, {"s", "seconds"}, {"L", "liters"}, {"mL", "milliliters"}, {"qt", "quarts"},
	{"°C", "degrees Celsius"}, {"°F", "degrees Fahrenheit"}, {"%", "percent"}, {"g/L", "grams per litre"},
}

// alike are the columns whose values are much of a size in one log, so that one
// far from the others is questioned although it would be believed by itself.
var alike = map[string]bool{"casts.wall": true, "casts.dwell": true, "casts.mold_mass": true}

// How far a value must lie from the middle of its column to be questioned, and
// how near the other unit must bring it: 0.2 h among 20 min, 1200 s among them.
const (
	farFromMiddle   = 8.0
	nearMiddle      = 1.8
	leastForMiddle  = 5 // different values
	enoughForMiddle = 5000
)

// otherReading finds the unit other than the one taken in which a number as
// written would be believed, and lie near the middle of its column where that is
// known (else NaN).
func otherReading(c tables.Column, believed func(float64) bool, middle, x, written float64) (words string, reading float64, ok bool) {
	dim, keep := quantity.DimensionOf(c), quantity.Standing(c)
	if !tables.Has(written) {
		return "", 0, false
	}
	for _, other := range otherUnits {
		u, found := quantity.LookUnit(other.name, dim)
		if !found {
			continue
		}
		y := (u.Base(written) - keep.Offset) / keep.Scale
		if math.Abs(y-x) <= 1e-9*math.Abs(x) || !believed(y) || tables.Has(middle) && (y > nearMiddle*middle || y < middle/nearMiddle) {
			continue
		}
		return other.words, y, true
	}
	return "", 0, false
}

// beyond says that x, in the column's unit, is not believed, and guesses at why:
// with which other unit the number as written would be.
func beyond(c tables.Column, l limit, middle, x, written float64) *fault {
	f := &fault{code: CodeOutOfRange, mend: "correct the value"}
	f.message = fmt.Sprintf("%s is read as %s, which is not plausible: %s to %s are believed",
		c.Name, withUnit(x, c.Unit), brief(l.low), withUnit(l.high, c.Unit))
	dim := quantity.DimensionOf(c)
	words, y, ok := otherReading(c, l.holds, middle, x, written)
	if ok {
		f.code = CodeUnitDoubted
		f.message += fmt.Sprintf("; read as %s it would be %s", words, withUnit(y, c.Unit))
		f.mend = fmt.Sprintf("correct the value; if %s are meant, write the unit in the header or in the cell", words)
	}
	if (dim == quantity.Length || dim == quantity.Mass) && written > 30_000 && written < 60_000 && written == math.Trunc(written) {
		f.mend = "spreadsheet programs turn a fraction such as 3/16 into a date: format the cell as text and write the fraction again, with its unit"
	}
	if !ok && dim == quantity.Duration && x > l.high {
		f.mend = "correct the value; if minutes and seconds are meant, write [mm:ss] in the header"
	}
	return f
}

// apart questions a value that would be believed, but lies far from the others
// of its column where another unit would bring it among them.
func apart(c tables.Column, l limit, middle, x, written float64) *fault {
	if !tables.Has(middle) || x < farFromMiddle*middle && x > middle/farFromMiddle {
		return nil
	}
	words, y, ok := otherReading(c, l.holds, middle, x, written)
	if !ok {
		return nil
	}
	return &fault{
		code:    CodeUnitDoubted,
		message: fmt.Sprintf("%s is read as %s, far from the others of the column; read as %s it would be %s, among them", c.Name, withUnit(x, c.Unit), words, withUnit(y, c.Unit)),
		mend:    fmt.Sprintf("correct the value; if %s are meant, write the unit in the cell", words),
	}
}

// doubted says of a cell that its whole column is questioned at the header.
func doubted(c tables.Column, words string) *fault {
	return &fault{
		code:    CodeUnitDoubted,
		message: fmt.Sprintf("the unit of %s is in doubt: most numbers of the column would be plausible in %s only", c.Name, words),
		mend:    "write the unit in the header; see the note there",
	}
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
