package ingest

import (
	"strings"
	"unicode"

	"moldwright/pipeline/tables"
)

// dimension is what a number measures.
type dimension int

const (
	noDimension dimension = iota // text, words, dates
	pureNumber
	length      // base mm
	mass        // base kg
	volume      // base L
	duration    // base min
	clock       // base min after midnight
	temperature // base °C
	share       // base 1
	gravity     // base g/cm³
	perMass     // base 1/kg
	perDay      // base 1/d
)

// unit turns a number into the base of its dimension: base = x·scale + offset.
// The zero unit stands for none given.
type unit struct {
	name    string
	dim     dimension
	scale   float64
	offset  float64
	pattern pattern // how hours and minutes are written
}

func (u unit) given() bool            { return u.name != "" }
func (u unit) base(x float64) float64 { return x*u.scale + u.offset }

// pattern is how a length of time or a time of day with colons is meant.
type pattern int

const (
	anyPattern    pattern = iota // nothing said: hours and minutes
	hoursMinutes                 // hh:mm; plain numbers are spreadsheet day fractions
	minuteSeconds                // mm:ss
)

// unitTable lists the units with all their spellings; the first is the one shown.
// Inch, pound, US gallon and imperial gallon are exact by definition
// (NIST Special Publication 811, appendix B, from memory).
var unitTable = []struct {
	dim    dimension
	scale  float64
	offset float64
	names  string
}{
	{length, 1, 0, "mm|millimeter|millimeters|millimetre|millimetres"},
	{length, 10, 0, "cm|centimeter|centimeters|centimetre|centimetres"},
	{length, 1000, 0, "m|meter|meters|metre|metres"},
	{length, 25.4, 0, `in|inch|inches|ins|"`},
	{length, 304.8, 0, "ft|foot|feet|'"},
	{mass, 1, 0, "kg|kgs|kilo|kilos|kilogram|kilograms"},
	{mass, 1e-3, 0, "g|gm|gms|gram|grams|gramme|grammes"},
	{mass, 1000, 0, "t|tonne|tonnes"},
	{mass, 0.45359237, 0, "lb|lbs|pound|pounds|#"},
	{mass, 0.45359237 / 16, 0, "oz|ozs|ounce|ounces"},
	{volume, 1, 0, "L|l|ltr|ltrs|liter|liters|litre|litres|dm3"},
	{volume, 1e-2, 0, "cL|cl|centiliter|centilitre"},
	{volume, 1e-3, 0, "mL|ml|cc|cm3|ccm|milliliter|milliliters|millilitre|millilitres"},
	{volume, 1000, 0, "m3"},
	{volume, 0.016387064, 0, "in3|cu in|cubic inch|cubic inches"},
	{volume, 28.316846592, 0, "ft3|cu ft|cubic foot|cubic feet"},
	{volume, 3.785411784, 0, "gal|gals|gallon|gallons|us gal|us gallon|us gallons"},
	{volume, 3.785411784 / 4, 0, "qt|qts|quart|quarts|us qt|us quart|us quarts"},
	{volume, 3.785411784 / 8, 0, "pt|pts|pint|pints|us pt|us pint|us pints"},
	{volume, 3.785411784 / 16, 0, "cup|cups"},
	{volume, 3.785411784 / 128, 0, "fl oz|floz|fluid ounce|fluid ounces"},
	{volume, 4.54609, 0, "imp gal|imperial gallon|imperial gallons|uk gal|uk gallon|uk gallons"},
	{volume, 4.54609 / 4, 0, "imp qt|imperial quart|imperial quarts|uk quart|uk quarts"},
	{volume, 4.54609 / 8, 0, "imp pt|imperial pint|imperial pints|uk pint|uk pints"},
	{duration, 1, 0, "min|mins|minute|minutes|m|'"},
	{duration, 60, 0, "h|hr|hrs|hour|hours"},
	{duration, 1.0 / 60, 0, `s|sec|secs|second|seconds|"`},
	{duration, 1440, 0, "d|day|days"},
	{temperature, 1, 0, "°C|C|deg C|degree C|degrees C|celsius|centigrade|deg"},
	{temperature, 5.0 / 9, -160.0 / 9, "°F|F|deg F|degree F|degrees F|fahrenheit"},
	{temperature, 1, -273.15, "K|kelvin"},
	{share, 0.01, 0, "%|percent|per cent|pct"},
	{share, 1, 0, "share|fraction"},
	{gravity, 1, 0, "g/cm3|g/mL|g/cc|kg/L|g per mL|g per cm3|kg per L"},
	{gravity, 1e-3, 0, "g/L|kg/m3|g per L|kg per m3"},
	{perMass, 1, 0, "/kg|per kg|1/kg|kg"},
	{perMass, 1 / 0.45359237, 0, "/lb|per lb|1/lb|lb|per pound"},
	{perDay, 1, 0, "/d|/day|per day|a day|1/d|day"},
	{perDay, 1.0 / 7, 0, "/week|per week|a week|week"},
	{pureNumber, 1, 0, "casts|cast|pieces|piece|pcs|pc"},
}

// patterns are the ways to say how times with colons are written.
var patterns = map[string]pattern{
	"hh:mm": hoursMinutes, "h:mm": hoursMinutes, "h:m": hoursMinutes, "hh:mm:ss": hoursMinutes, "h:mm:ss": hoursMinutes, "hhmm": hoursMinutes,
	"mm:ss": minuteSeconds, "m:ss": minuteSeconds, "mmss": minuteSeconds,
}

type unitKey struct {
	dim  dimension
	word string
}

var unitIndex = indexUnits()

func indexUnits() map[unitKey]unit {
	index := map[unitKey]unit{}
	for _, u := range unitTable {
		names := strings.Split(u.names, "|")
		for _, n := range names {
			index[unitKey{u.dim, foldUnit(n)}] = unit{name: names[0], dim: u.dim, scale: u.scale, offset: u.offset}
		}
	}
	for word, p := range patterns {
		index[unitKey{duration, word}] = unit{name: word, dim: duration, scale: 1, pattern: p}
		index[unitKey{clock, word}] = unit{name: word, dim: clock, scale: 1, pattern: p}
	}
	return index
}

// lookUnit finds the unit of that spelling in a dimension.
func lookUnit(word string, dim dimension) (unit, bool) {
	u, ok := unitIndex[unitKey{dim, foldUnit(word)}]
	return u, ok
}

// lookAnyUnit finds a unit of any dimension, to say that it does not fit.
func lookAnyUnit(word string) (unit, bool) {
	folded := foldUnit(word)
	for dim := length; dim <= perDay; dim++ {
		if u, ok := unitIndex[unitKey{dim, folded}]; ok {
			return u, true
		}
	}
	return unit{}, false
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

// dimensionOf is what the numbers of a declared column measure.
func dimensionOf(c tables.Column) dimension {
	switch c.Kind {
	case tables.KindLength, tables.KindLengths:
		return length
	case tables.KindMass:
		return mass
	case tables.KindVolume:
		return volume
	case tables.KindDuration:
		return duration
	case tables.KindClock:
		return clock
	case tables.KindTemperature:
		return temperature
	case tables.KindShare:
		return share
	case tables.KindCount:
		return pureNumber
	case tables.KindNumber:
		switch {
		case c.Unit == "1/kg":
			return perMass
		case c.Unit == "1/d":
			return perDay
		case c.Name == "specific_gravity":
			return gravity
		}
		return pureNumber
	}
	return noDimension
}

// standing is the unit in which a column is kept, which plain numbers have
// where neither header nor cell names one.
func standing(c tables.Column) unit {
	dim := dimensionOf(c)
	if u, ok := lookUnit(c.Unit, dim); ok && c.Unit != "" {
		return unit{name: c.Unit, dim: dim, scale: u.scale, offset: u.offset}
	}
	return unit{dim: dim, scale: 1}
}

// fluids are the densities in kg/L by which a column of masses also takes
// volumes. Only water has one that can be relied on: 0.998 kg/L at 20 °C.
var fluids = map[string]float64{"water": 0.998}

// measured is the word for what a dimension measures.
func (d dimension) measured() string {
	switch d {
	case length:
		return "a length"
	case mass:
		return "a mass"
	case volume:
		return "a volume"
	case duration:
		return "a length of time"
	case clock:
		return "a time of day"
	case temperature:
		return "a temperature"
	case share:
		return "a share or percentage"
	case gravity:
		return "a specific gravity"
	}
	return "a number"
}

// examples of how to write a value of the dimension.
func (d dimension) examples() string {
	switch d {
	case length:
		return "5.2, 5.2 mm, 1 1/4 in"
	case mass:
		return "3.2, 3.2 kg, 2 lb 6 oz"
	case volume:
		return "4.5, 4.5 L, 1 gal 2 qt"
	case duration:
		return "22, 22 min, 0:22, 1.5 h"
	case clock:
		return "14:30, 2:30 pm"
	case temperature:
		return "20, 20 °C, 68 °F"
	case share:
		return "45 %, 0.45"
	}
	return "12, 12.5"
}
