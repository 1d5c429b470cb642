package charts

import (
	"slices"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
)

// Charts draw quantities in the unit of the report, so that the ticks of an axis
// fall on round numbers of it. The series are converted before anything is drawn;
// the least width of a scale, which is given in SI, is converted with them.

// wallsIn are curves with their walls in a unit of length.
func wallsIn(u format.Unit, curves []wall.Curve) []wall.Curve {
	out := make([]wall.Curve, len(curves))
	for i, c := range curves {
		c.WallMM, c.Lower90, c.Upper90, c.CastWallMM = u.Each(c.WallMM), u.Each(c.Lower90), u.Each(c.Upper90), u.Each(c.CastWallMM)
		c.TargetMM = u.Of(c.TargetMM)
		out[i] = c
	}
	return out
}

// ratesIn are paths with their casting rates in a unit of rate.
func ratesIn(u format.Unit, paths []wall.Path) []wall.Path {
	out := make([]wall.Path, len(paths))
	for i, p := range paths {
		p.Rate, p.FitRate, p.FitLow95, p.FitUp95 = u.Each(p.Rate), u.Each(p.FitRate), u.Each(p.FitLow95), u.Each(p.FitUp95)
		out[i] = p
	}
	return out
}

// chartIn is a mold's chart with its walls in a unit of length.
func chartIn(u format.Unit, c watch.Chart) watch.Chart {
	c.WallMM, c.PredictedMM, c.Lower90, c.Upper90 = u.Each(c.WallMM), u.Each(c.PredictedMM), u.Each(c.Lower90), u.Each(c.Upper90)
	return c
}

// poursIn are pours with their masses in a unit of mass.
func poursIn(u format.Unit, pours []tables.PourWaste) []tables.PourWaste {
	out := slices.Clone(pours)
	for i := range out {
		p := &out[i]
		for _, mass := range []*float64{
			&p.PlasterKg, &p.NeededKg, &p.InMoldKg, &p.WasteKg, &p.WasteLower80, &p.WasteUpper80,
			&p.LeftoverKg, &p.SpilledKg, &p.TrimmedKg, &p.FailedKg, &p.UnexplainedKg,
		} {
			*mass = u.Of(*mass)
		}
	}
	return out
}

// intervalIn writes two walls that are in the report's unit already.
func intervalIn(u format.Units, low, high float64) string {
	return format.Interval(format.Fixed(low, u.WallDecimals())+" "+u.Length().Name, format.Fixed(high, u.WallDecimals())+" "+u.Length().Name)
}
