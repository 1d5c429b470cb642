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
	for _, m := range told(p.in.log, set) {
		mold := p.in.log.Molds[m]
		s := blankState(mold)
		form := orUnknown(mold.Form)
		s.UsualDwellMin = usualDwell(p.in.log, m, p.usualDwells, set)
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

// usualDwell is the median dwell of the mold's last casts, in min; for a mold
// without any that of all casts of its form.
func usualDwell(log history.Log, m int, ofForm map[string]float64, set Settings) float64 {
	mold := log.Molds[m]
	var last []float64
	for i := mold.Last - 1; i >= mold.First && len(last) < set.UsualDwellOf; i-- {
		if t := log.Casts[i].DwellMin; t > 0 {
			last = append(last, t)
		}
	}
	if len(last) > 0 {
		return median(last)
	}
	if t, ok := ofForm[orUnknown(mold.Form)]; ok {
		return t
	}
	return tables.Absent()
}

// usualDwells are the median dwells of the casts of each form that has a mold
// without any, in min. Of a large log some casts of a form tell.
func usualDwells(log history.Log) map[string]float64 {
	needed := map[string][]float64{}
	for _, m := range log.Molds {
		if !slices.ContainsFunc(log.Casts[m.First:m.Last], func(c history.Cast) bool { return c.DwellMin > 0 }) {
			needed[orUnknown(m.Form)] = nil
		}
	}
	out := map[string]float64{}
	if len(needed) == 0 {
		return out
	}
	for _, m := range log.Molds {
		form := orUnknown(m.Form)
		if dwells, ok := needed[form]; ok && len(dwells) < mostDwells {
			needed[form] = append(dwells, dwellsOf(log.Casts[m.First:m.Last])...)
		}
	}
	for form, dwells := range needed {
		out[form] = median(dwells)
	}
	return out
}

// mostDwells of a form tell its middle dwell well enough.
const mostDwells = 100_000

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

// told are the molds that the tables of molds list.
func told(log history.Log, set Settings) []int { return log.Told(set.MoldsTold, set.EndedTold) }
