package wall

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// states says for every mold of the log what it is today. A mold whose form
// was never measured has no figures.
func states(p *Posterior, set Settings) []tables.MoldState {
	var out []tables.MoldState
	for m, mold := range p.in.log.Molds {
		s := blankState(mold)
		form := orUnknown(mold.Form)
		s.UsualDwellMin = usualDwell(p.in.log, m, form, set)
		if p.knows(form) && tables.Has(s.UsualDwellMin) {
			fillState(&s, p, p.at(m, form, mold.Kind, s.UsualDwellMin, float64(mold.Age)), mold.InUse())
		}
		out = append(out, s)
	}
	return out
}

func blankState(m history.Mold) tables.MoldState {
	no := tables.Absent()
	return tables.MoldState{
		Mold: m.Mold, Form: m.Form, Kind: m.Kind, Status: m.Status, AgeCasts: tables.Count(m.Age),
		RateMM2PerMin: no, WearPerCast: no, WearLower95: no, WearUpper95: no,
		UsualDwellMin: no, NextWallMM: no, NextWallLower90: no, NextWallUpper90: no,
	}
}

func fillState(s *tables.MoldState, p *Posterior, r row, inUse bool) {
	mean, variance := p.logWall(r)
	s.RateMM2PerMin = math.Exp(2*mean) / math.Exp(r.logT)
	slope, se := p.slope(r)
	t95 := p.slopeQuantile(0.975, r)
	s.WearPerCast = wear(slope)
	s.WearLower95 = wear(slope + t95*se)
	s.WearUpper95 = wear(slope - t95*se)
	if !inUse {
		return
	}
	half := p.quantile(0.95) * math.Sqrt(variance+p.Sigma()*p.Sigma())
	s.NextWallMM = math.Exp(mean)
	s.NextWallLower90 = math.Exp(mean - half)
	s.NextWallUpper90 = math.Exp(mean + half)
}

// wear is the fraction of the wall lost per cast at one dwell, for a slope of
// log wall per cast.
func wear(slope float64) float64 { return -math.Expm1(slope) }

// usualDwell is the median dwell of the mold's last casts, in min; for a mold without casts that
// of all casts of its form.
func usualDwell(log history.Log, m int, form string, set Settings) float64 {
	mold := log.Molds[m]
	dwells := dwellsOf(log.Casts[mold.First:mold.Last])
	if len(dwells) > 0 {
		return median(dwells[max(0, len(dwells)-set.UsualDwellOf):])
	}
	for i, other := range log.Molds {
		if i != m && orUnknown(other.Form) == form {
			dwells = append(dwells, dwellsOf(log.Casts[other.First:other.Last])...)
		}
	}
	return median(dwells)
}

func dwellsOf(casts []history.Cast) []float64 {
	var out []float64
	for _, c := range casts {
		if c.DwellMin > 0 {
			out = append(out, c.DwellMin)
		}
	}
	return out
}

func orUnknown(form string) string { return cmp.Or(form, unknownForm) }

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
