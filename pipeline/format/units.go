package format

import "math"

// Units is the system in which a report writes its quantities. Inside the
// pipeline and in the plain tables everything is SI. The zero value is Metric.
type Units string

const (
	Metric Units = "metric" // mm, kg, L, mm²/min, °C
	US     Units = "us"     // in, lb and oz, qt and gal, in²/h, °F
)

// Sizes of the US customary units, exact by definition: NIST Special Publication
// 811 (2008), appendix B.8, and the definition of the gallon as 231 cubic inches.
const (
	mmPerInch       = 25.4
	kgPerPound      = 0.45359237
	ouncesPerPound  = 16
	litersPerQuart  = 0.946352946
	quartsPerGallon = 4
	minutesPerHour  = 60
)

// Unit is one unit that numbers are written in.
type Unit struct {
	Name string
	size float64 // in the SI unit of the quantity
}

// Plain is a unit that is the same in every system, such as casts.
func Plain(name string) Unit { return Unit{name, 1} }

// Of is a quantity in this unit; si is in mm, kg, L or mm²/min. NaN stays NaN.
func (u Unit) Of(si float64) float64 { return si / u.size }

// Each is a new slice of quantities in this unit; nil stays nil.
func (u Unit) Each(si []float64) []float64 {
	if si == nil {
		return nil
	}
	out := make([]float64, len(si))
	for i, x := range si {
		out[i] = u.Of(x)
	}
	return out
}

// Length is the unit of walls, gaps and heights: mm or in.
func (u Units) Length() Unit {
	if u == US {
		return Unit{"in", mmPerInch}
	}
	return Unit{"mm", 1}
}

// MassUnit is the unit of plaster, water and slip where a column or an axis has one
// unit for all: kg or lb.
func (u Units) MassUnit() Unit {
	if u == US {
		return Unit{"lb", kgPerPound}
	}
	return Unit{"kg", 1}
}

// CastingRate is the unit of casting rates. An hour makes US rates numbers such
// as 0.11, where a minute would make them 0.0019.
func (u Units) CastingRate() Unit {
	if u == US {
		return Unit{"in²/h", mmPerInch * mmPerInch / minutesPerHour}
	}
	return Unit{"mm²/min", 1}
}

// Liquid is the unit of volumes of slurry and slip: L or qt.
func (u Units) Liquid() Unit {
	if u == US {
		return Unit{"qt", litersPerQuart}
	}
	return Unit{"L", 1}
}

// WallDecimals is how many decimals a wall has: tenths of a millimeter, or the
// thousandths of an inch that a caliper reads. Hundredths would hide a quarter of
// a millimeter, which is the wear of several casts.
func (u Units) WallDecimals() int {
	if u == US {
		return 3
	}
	return 1
}

// MassDecimals is how many decimals a mass has in kg or lb: steps of some 10 g
// below 1 kg, of some 0.1 kg below 100 kg, and whole from there on.
func (u Units) MassDecimals(kg float64) int {
	limits := [2]float64{1, 100}
	if u == US {
		limits = [2]float64{2, 200} // lb
	}
	switch a := math.Abs(u.MassUnit().Of(kg)); {
	case a < limits[0]:
		return 2
	case a < limits[1]:
		return 1
	}
	return 0
}

// WeighedDecimals is how many decimals a mass to weigh out has: steps of some
// 10 g, from 10 kg or 20 lb on of some 100 g.
func (u Units) WeighedDecimals(kg float64) int {
	limit := 10.0
	if u == US {
		limit = 20
	}
	if math.Abs(u.MassUnit().Of(kg)) < limit {
		return 2
	}
	return 1
}
