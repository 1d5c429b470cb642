package quantity

import (
	"strings"
	"unicode"

	"moldwright/pipeline/tables"
)

// Dimension is what a number measures.
type Dimension int

const (
	NoDimension Dimension = iota // text, words, dates
	PureNumber
	Length      // base mm
	Mass        // base kg
	Volume      // base L
	Duration    // base min
	Clock       // base min after midnight
	Temperature // base °C
	Share       // base 1
	Gravity     // base g/cm³
	PerMass     // base 1/kg
	PerDay      // base 1/d
)

// Unit turns a number into the base of its dimension: base = x·scale + offset.
// The zero unit stands for none given.
type Unit struct {
	Name    string
	Dim     Dimension
	Scale   float64
	Offset  float64
	Pattern Pattern // how hours and minutes are written
}

// Given reports whether the unit is one at all.
func (u Unit) Given() bool { return u.Name != "" }

// Base turns x of the unit into the base of its dimension.
func (u Unit) Base(x float64) float64 { return x*u.Scale + u.Offset }

// Pattern is how a length of time or a time of day with colons is meant.
type Pattern int

const (
	AnyPattern     Pattern = iota // nothing said: hours and minutes
	HoursMinutes                  // hh:mm; plain numbers are spreadsheet day fractions
	MinutesSeconds                // mm:ss
)

// unitTable lists the units with all their spellings; the first is the one shown.
// Inch, pound, US gallon and imperial gallon are exact by definition
// (NIST Special Publication 811 (2008), appendix B.8, from memory).
var unitTable = []struct {
	dim    Dimension
	scale  float64
	offset float64
	names  string
}{
	{Length, 1, 0, "mm|millimeter|millimeters|millimetre|millimetres"},
	{Length, 10, 0, "cm|centimeter|centimeters|centimetre|centimetres"},
	{Length, 1000, 0, "m|meter|meters|metre|metres"},
	{Length, 25.4, 0, `in|inch|inches|ins|"`},
	{Length, 304.8, 0, "ft|foot|feet|'"},
	{Mass, 1, 0, "kg|kgs|kilo|kilos|kilogram|kilograms"},
	{Mass, 1e-3, 0, "g|gm|gms|gram|grams|gramme|grammes"},
	{Mass, 1000, 0, "t|tonne|tonnes"},
	{Mass, 0.45359237, 0, "lb|lbs|pound|pounds|#"},
	{Mass, 0.45359237 / 16, 0, "oz|ozs|ounce|ounces"},
	{Volume, 1, 0, "L|l|ltr|ltrs|liter|liters|litre|litres|dm3"},
	{Volume, 1e-2, 0, "cL|cl|centiliter|centilitre"},
	{Volume, 1e-3, 0, "mL|ml|cc|cm3|ccm|milliliter|milliliters|millilitre|millilitres"},
	{Volume, 1000, 0, "m3"},
	{Volume, 0.016387064, 0, "in3|cu in|cubic inch|cubic inches"},
	{Volume, 28.316846592, 0, "ft3|cu ft|cubic foot|cubic feet"},
	{Volume, 3.785411784, 0, "gal|gals|gallon|gallons|us gal|us gallon|us gallons"},
	{Volume, 3.785411784 / 4, 0, "qt|qts|quart|quarts|us qt|us quart|us quarts"},
	{Volume, 3.785411784 / 8, 0, "pt|pts|pint|pints|us pt|us pint|us pints"},
	{Volume, 3.785411784 / 16, 0, "cup|cups"},
	{Volume, 3.785411784 / 128, 0, "fl oz|floz|fluid ounce|fluid ounces"},
	{Volume, 4.54609, 0, "imp gal|imperial gallon|imperial gallons|uk gal|uk gallon|uk gallons"},
	{Volume, 4.54609 / 4, 0, "imp qt|imperial quart|imperial quarts|uk quart|uk quarts"},
	{Volume, 4.54609 / 8, 0, "imp pt|imperial pint|imperial pints|uk pint|uk pints"},
	{Duration, 1, 0, "min|mins|minute|minutes|m|'"},
	{Duration, 60, 0, "h|hr|hrs|hour|hours"},
	{Duration, 1.0 / 60, 0, `s|sec|secs|second|seconds|"`},
	{Duration, 1440, 0, "d|day|days"},
	{Temperature, 1, 0, "°C|C|deg C|degree C|degrees C|celsius|centigrade|deg"},
	{Temperature, 5.0 / 9, -160.0 / 9, "°F|F|deg F|degree F|degrees F|fahrenheit"},
	{Temperature, 1, -273.15, "K|kelvin"},
	{Share, 0.01, 0, "%|percent|per cent|pct"},
	{Share, 1, 0, "share|fraction"},
	{Gravity, 1, 0, "g/cm3|g/mL|g/cc|kg/L|g per mL|g per cm3|kg per L"},
	{Gravity, 1e-3, 0, "g/L|kg/m3|g per L|kg per m3"},
	{PerMass, 1, 0, "/kg|per kg|1/kg|kg"},
	{PerMass, 1 / 0.45359237, 0, "/lb|per lb|1/lb|lb|per pound"},
	{PerDay, 1, 0, "/d|/day|per day|a day|1/d|day"},
	{PerDay, 1.0 / 7, 0, "/week|per week|a week|week"},
	{PureNumber, 1, 0, "casts|cast|pieces|piece|pcs|pc"},
}

// patterns are the ways to say how times with colons are written.
var patterns = map[string]Pattern{
	"hh:mm": HoursMinutes, "h:mm": HoursMinutes, "h:m": HoursMinutes, "hh:mm:ss": HoursMinutes, "h:mm:ss": HoursMinutes, "hhmm": HoursMinutes,
	"mm:ss": MinutesSeconds, "m:ss": MinutesSeconds, "mmss": MinutesSeconds,
}

type unitKey struct {
	dim  Dimension
	word string
}

var unitIndex = indexUnits()

func indexUnits() map[unitKey]Unit {
	index := map[unitKey]Unit{}
	for _, u := range unitTable {
		names := spellingsOf(u.names)
		for _, n := range names {
			index[unitKey{u.dim, foldUnit(n)}] = Unit{Name: names[0], Dim: u.dim, Scale: u.scale, Offset: u.offset}
		}
	}
	for word, p := range patterns {
		index[unitKey{Duration, word}] = Unit{Name: word, Dim: Duration, Scale: 1, Pattern: p}
		index[unitKey{Clock, word}] = Unit{Name: word, Dim: Clock, Scale: 1, Pattern: p}
	}
	return index
}

func spellingsOf(names string) []string { return strings.Split(names, "|") }

// LookUnit finds the unit of that spelling in a dimension.
func LookUnit(word string, dim Dimension) (Unit, bool) {
	u, ok := unitIndex[unitKey{dim, foldUnit(word)}]
	return u, ok
}

// LookAnyUnit finds a unit of any dimension, to say that it does not fit.
func LookAnyUnit(word string) (Unit, bool) {
	folded := foldUnit(word)
	for dim := Length; dim <= PerDay; dim++ {
		if u, ok := unitIndex[unitKey{dim, folded}]; ok {
			return u, true
		}
	}
	return Unit{}, false
}

// foldUnit makes spellings of a unit alike: case, spaces, dots and slashes
// don't count, and a degree sign is the word deg.
func foldUnit(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(unicode.ToLower(r))
		case r == '°' || r == 'º':
			b.WriteString("deg")
		case r == '³':
			b.WriteByte('3')
		case strings.ContainsRune(`"'#%:`, r):
			b.WriteRune(r)
		}
	}
	return b.String()
}

// DimensionOf is what the numbers of a declared column measure.
func DimensionOf(c tables.Column) Dimension {
	switch c.Kind {
	case tables.KindLength, tables.KindLengths:
		return Length
	case tables.KindMass:
		return Mass
	case tables.KindVolume:
		return Volume
	case tables.KindDuration:
		return Duration
	case tables.KindClock:
		return Clock
	case tables.KindTemperature:
		return Temperature
	case tables.KindShare:
		return Share
	case tables.KindCount:
		return PureNumber
	case tables.KindNumber:
		switch {
		case c.Unit == "1/kg":
			return PerMass
		case c.Unit == "1/d":
			return PerDay
		case c.Name == "specific_gravity":
			return Gravity
		}
		return PureNumber
	}
	return NoDimension
}

// Standing is the unit in which a column is kept, which plain numbers have
// where neither header nor cell names one.
func Standing(c tables.Column) Unit {
	dim := DimensionOf(c)
	if u, ok := LookUnit(c.Unit, dim); ok && c.Unit != "" {
		return Unit{Name: c.Unit, Dim: dim, Scale: u.Scale, Offset: u.Offset}
	}
	return Unit{Dim: dim, Scale: 1}
}

// Fluids are the densities in kg/L by which a column of masses also takes
// volumes. Only water has one that can be relied on: 0.998 kg/L at 20 °C.
var Fluids = map[string]float64{"water": 0.998}

// Measured is the word for what a dimension measures.
func (d Dimension) Measured() string {
	switch d {
	case Length:
		return "a length"
	case Mass:
		return "a mass"
	case Volume:
		return "a volume"
	case Duration:
		return "a length of time"
	case Clock:
		return "a time of day"
	case Temperature:
		return "a temperature"
	case Share:
		return "a share or percentage"
	case Gravity:
		return "a specific gravity"
	}
	return "a number"
}

// Examples of how to write a value of the dimension.
func (d Dimension) Examples() string {
	switch d {
	case Length:
		return "5.2, 5.2 mm, 1 1/4 in"
	case Mass:
		return "3.2, 3.2 kg, 2 lb 6 oz"
	case Volume:
		return "4.5, 4.5 L, 1 gal 2 qt"
	case Duration:
		return "22, 22 min, 0:22, 1.5 h"
	case Clock:
		return "14:30, 2:30 pm"
	case Temperature:
		return "20, 20 °C, 68 °F"
	case Share:
		return "45 %, 0.45"
	}
	return "12, 12.5"
}
