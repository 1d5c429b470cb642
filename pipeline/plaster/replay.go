package plaster

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// remix is a past pour mixed again as advised from what was known before its day.
type remix struct {
	form, maker, class string
	mixed, advised     float64 // kg
	short              float64 // 1 where it was short, else 0
	shortAdvised       float64 // chance that it would have been short as advised, given what the log says of it
	shortForecast      float64 // the chance that the advice itself saw
	perKg, labour      float64 // absent and 0 without prices
}

// A short pour is mixed a second time, and its work done twice.
func (r remix) netKg() float64 { return r.mixed*(1+r.short) - r.advised*(1+r.shortAdvised) }

func (r remix) netCost() float64 { return r.netKg()*r.perKg + r.labour*(r.short-r.shortAdvised) }

// mostRefits bounds how often the replay learns anew, so that its work grows
// with the pours and not with their square.
const mostRefits = 24

// replay mixes the pours that tell again, each as the advice by form and maker
// would have had it from the pours of earlier days alone. The first ones, before
// there was advice, are left out; so are pours that failed for another reason
// than being short: they tell nothing of what they would have used.
func (b book) replay(all []estimate) []remix {
	var out []remix
	var know adviser
	knows, learned, before := false, 0, 0
	for _, e := range all {
		day := b.entries[e.place].Date
		for before < len(all) && b.entries[all[before].place].Date < day {
			before++
		}
		if before > learned && before-learned >= len(all)/mostRefits {
			if next, ok := newAdviser(all[:before]); ok {
				know, knows = next, true
			}
			learned = before
		}
		if knows {
			out = append(out, b.remixed(e, know))
		}
	}
	return out
}

func (b book) remixed(e estimate, know adviser) remix {
	p := &b.entries[e.place]
	law := know.law(e.form, e.maker)
	lost := b.lostMoldOf(know.needed, p.Date)
	share := advisedShare(law, lost)
	r := remix{
		form: e.form, maker: e.maker, class: cmp.Or(strings.TrimSpace(p.Class), notGiven),
		mixed: p.PlasterKg, advised: e.needed.kg * (1 + share), perKg: b.prices.cost(1, p.Date), labour: orZero(b.prices.labour),
		shortAdvised: e.chanceAbove(1+share, law), shortForecast: 1 - law.CDF(1+share),
	}
	if e.bound == above {
		r.short = 1
	}
	return r
}

// chanceAbove is the chance that the pour would have used more than a ratio to
// its need: known where it used a known amount, else by law beyond its bound.
func (e estimate) chanceAbove(ratio float64, law distuv.LogNormal) float64 {
	seen := math.Exp(e.value)
	switch {
	case e.bound == exactly || e.bound == below && ratio >= seen || e.bound == above && ratio <= seen:
		if e.bound == above || e.bound == exactly && ratio < seen {
			return 1
		}
		return 0
	case e.bound == below: // used less than seen, and more than ratio
		if all := law.CDF(seen); all > 0 {
			return (all - law.CDF(ratio)) / all
		}
		return 1
	}
	if all := law.Survival(seen); all > 0 { // used more than seen
		return law.Survival(ratio) / all
	}
	return 1
}

// replayRows sum the replay over all pours, forms, makers and classes.
func (b book) replayRows(again []remix) []tables.OvermixReplay {
	if len(again) == 0 {
		return nil
	}
	rows := []tables.OvermixReplay{b.replayRow("all", "all", again)}
	for _, g := range []struct {
		name string
		of   func(remix) string
	}{
		{"form", func(r remix) string { return r.form }},
		{"maker", func(r remix) string { return r.maker }},
		{"class", func(r remix) string { return r.class }},
	} {
		members, spelling := map[string][]remix{}, map[string]string{}
		var keys []string
		for _, r := range again {
			k := fold(g.of(r))
			if _, seen := spelling[k]; !seen {
				spelling[k] = g.of(r)
				keys = append(keys, k)
			}
			members[k] = append(members[k], r)
		}
		slices.Sort(keys)
		for _, k := range keys {
			rows = append(rows, b.replayRow(g.name, spelling[k], members[k]))
		}
	}
	return rows
}

func (b book) replayRow(group, value string, members []remix) tables.OvermixReplay {
	row := tables.OvermixReplay{Group: group, Value: value, Pours: tables.Count(len(members))}
	var kg, cost []float64
	for _, r := range members {
		row.MixedKg += r.mixed
		row.AdvisedKg += r.advised
		row.Short += tables.Count(r.short)
		row.ShortAdvised += r.shortAdvised
		row.ShortForecast += r.shortForecast
		kg, cost = append(kg, r.netKg()), append(cost, r.netCost())
	}
	row.SpareSavedKg = row.MixedKg - row.AdvisedKg
	rng := b.rngFor("replay of " + group + " " + fold(value))
	row.NetSavedKg, row.NetLower80, row.NetUpper80 = sumWithInterval(kg, rng)
	row.NetSavedCost, row.CostLower80, row.CostUpper80 = tables.Absent(), tables.Absent(), tables.Absent()
	if len(b.prices.plaster) > 0 {
		row.NetSavedCost, row.CostLower80, row.CostUpper80 = sumWithInterval(cost, rng)
	}
	return row
}

const (
	resamples = 2000
	// A sum of so many is as good as normal.
	manyForNormal = 400
)

// sumWithInterval is a sum and its 80 % interval as such sums scatter: by
// resampling (Efron 1979, Ann. Stat. 7; from memory), for many by √n times their
// scatter. One term alone has no interval.
func sumWithInterval(xs []float64, rng lots) (sum, low, high float64) {
	for _, x := range xs {
		sum += x
	}
	n := len(xs)
	switch {
	case n < 2:
		return sum, tables.Absent(), tables.Absent()
	case n > manyForNormal:
		m, v := sum/float64(n), 0.0
		for _, x := range xs {
			v += (x - m) * (x - m)
		}
		reach := z80 * math.Sqrt(v*float64(n)/float64(n-1))
		return sum, sum - reach, sum + reach
	}
	sums := make([]float64, resamples)
	for i := range sums {
		sum := 0.0
		for range n {
			sum += xs[rng.below(n)]
		}
		sums[i] = sum
	}
	q := quantiles(sums)
	return sum, q[0], q[2]
}
