package format

import "math"

// Wall writes a wall given in mm: "5.2 mm", "0.205 in".
func (u Units) Wall(mm float64) string {
	return unit(Fixed(u.Length().Of(mm), u.WallDecimals()), u.Length().Name)
}

// Rate writes a casting rate given in mm²/min, to two significant digits.
func (u Units) Rate(k float64) string {
	return unit(Significant(u.CastingRate().Of(k), 2), u.CastingRate().Name)
}

// Mass writes a mass given in kg: "12.3 kg", "27.1 lb", and below a pound "7.5 oz".
func (u Units) Mass(kg float64) string {
	lb := u.MassUnit().Of(kg)
	if u == US && lb != 0 && math.Abs(lb) < 1 {
		return unit(Fixed(ouncesPerPound*lb, 1), "oz")
	}
	return u.MassInOne(kg)
}

// MassInOne is Mass without ounces, for columns and lists that hold one unit.
func (u Units) MassInOne(kg float64) string {
	return unit(Fixed(u.MassUnit().Of(kg), u.MassDecimals(kg)), u.MassUnit().Name)
}

// Weighed writes a mass given in kg that is to be weighed out.
func (u Units) Weighed(kg float64) string {
	return unit(Fixed(u.MassUnit().Of(kg), u.WeighedDecimals(kg)), u.MassUnit().Name)
}

// Bag writes the size of a bag given in kg: "25 kg", "50 lb".
func (u Units) Bag(kg float64) string {
	return unit(trimmed(Significant(u.MassUnit().Of(kg), 3)), u.MassUnit().Name)
}

// About writes a forecast of a mass in kg, to the two digits that are known of it
// at most.
func (u Units) About(kg float64) string { return unit(Rounded(u.MassUnit().Of(kg)), u.MassUnit().Name) }

// Rounded writes a forecast to two digits.
func Rounded(x float64) string {
	if x != 0 && !math.IsNaN(x) && !math.IsInf(x, 0) {
		step := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-1)
		x = math.Round(x/step) * step
	}
	return Significant(x, 2)
}

// PerMass is a price of 1 kg as one of the unit of mass.
func (u Units) PerMass(price float64) float64 { return price / u.MassUnit().Of(1) }

// Volume writes a volume given in L: "3.4 L", "3.59 qt", from a gallon on "1.4 gal".
func (u Units) Volume(liters float64) string {
	x := u.Liquid().Of(liters)
	if u == US && math.Abs(x) >= quartsPerGallon {
		return unit(Fixed(x/quartsPerGallon, 1), "gal")
	}
	return unit(Fixed(x, 2), u.Liquid().Name)
}

// Temperature writes a temperature given in °C, whole.
func (u Units) Temperature(celsius float64) string {
	if u == US {
		return unit(Fixed(celsius*9/5+32, 0), "°F")
	}
	return unit(Fixed(celsius, 0), "°C")
}

// Ruler writes a length given in mm as a ruler reads it: "33 mm", "1 5/16 in".
func (u Units) Ruler(mm float64) string {
	if u == US {
		return inches(mm, sixteenth, math.Round)
	}
	return unit(Fixed(mm, 0), "mm")
}

// RulerDown is Ruler for a length that must not be exceeded, rounded down.
func (u Units) RulerDown(mm float64) string {
	if u == US {
		return InchesDown(mm, sixteenth)
	}
	return unit(Fixed(wholeDown(mm), 0), "mm")
}

// OnRuler is a length given in mm as the number that Ruler writes: whole mm or
// sixteenths of an inch.
func (u Units) OnRuler(mm float64) float64 {
	if u == US {
		return math.Round(mm/mmPerInch*sixteenth) / sixteenth
	}
	return mm
}

// OnRulerDown is a length given in mm as the number that RulerDown writes.
func (u Units) OnRulerDown(mm float64) float64 {
	if u == US {
		return wholeDown(mm/mmPerInch*sixteenth) / sixteenth
	}
	return wholeDown(mm)
}

// RulerCode is the number format of a cell with OnRuler in it.
func (u Units) RulerCode() string {
	if u == US {
		return "# ??/??" // sixteenths, shortened
	}
	return "0"
}

const sixteenth = 16

// wholeDown rounds down; a number that is whole up to rounding is that number.
func wholeDown(x float64) float64 { return math.Floor(x + 1e-9) }
