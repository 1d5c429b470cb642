package plaster

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

const (
	// A log shorter than this is counted as so long: a few days are no term.
	shortestLogDays = 60
	yearDays        = 365
	// The spread of plaster per pour where a class has a single pour, as a part
	// of it: common practice, no source.
	pourSpread = 0.5
)

// basis is what a budget rests on: spans of the log that stand for the coming
// period, and how many periods they are worth.
type basis struct {
	coming  span
	spans   []span
	periods float64
}

// basisFor takes the like seasons of earlier years; where the log is too young for one,
// the last year of it, or as much as there is, in proportion of days.
func (b book) basisFor(asOf tables.Date) basis {
	coming := halfYear(nextDay(asOf))
	first := b.entries[0].Date
	for _, e := range b.entries {
		if first = e.Date; first.Valid() {
			break
		}
	}
	if like := likePeriods(coming, first); len(like) > 0 {
		return basis{coming, like, float64(len(like))}
	}
	last := span{max(first, asOf-yearDays+1), asOf}
	return basis{coming, []span{last}, max(last.days(), shortestLogDays) / coming.days()}
}

func (s basis) has(d tables.Date) bool {
	return slices.ContainsFunc(s.spans, func(one span) bool { return one.has(d) })
}

// compound is the sum of a random number of pours: its mean and variance, kg.
type compound struct {
	mean, variance float64
}

// compoundOf forecasts the plaster of one period from the n pours of so many.
// Counts are Poisson; the rate, of which only the n pours are known, has the gamma
// distribution that Jeffreys' prior leads to, with shape n + ½ and rate periods;
// the number N to come is then negative binomial. With m and v the mean and
// variance of plaster per pour,
//
//	E[N] = (n + ½)/periods,   Var[N] = E[N] + E[N]/periods
//	mean = E[N]·m,   variance = E[N]·v + E[N]²·v/n + Var[N]·m²
//
// where the middle term is for m, known from n pours only. The half pour
// puts the middle forecast, not the mean, near what was seen.
func compoundOf(kg []float64, periods float64) compound {
	n := float64(len(kg))
	m := meanOf(kg)
	v := math.Pow(pourSpread*m, 2)
	if len(kg) > 1 {
		v = 0
		for _, x := range kg {
			v += (x - m) * (x - m) / (n - 1)
		}
	}
	count := (n + 0.5) / periods
	return compound{mean: count * m, variance: count*v + count*count*v/n + (count+count/periods)*m*m}
}

// quantile is that of the gamma distribution with this mean and variance: it is
// never negative and leans to the right, as such sums do.
func (c compound) quantile(p float64) float64 {
	if !(c.mean > 0) {
		return 0
	}
	return distuv.Gamma{Alpha: c.mean * c.mean / c.variance, Beta: c.mean / c.variance}.Quantile(p)
}

// budget forecasts the plaster of the coming half-year by class, with a row for
// all of them, forecast as one (the middle of a sum is not the sum of the
// middles), and what halving each cause of waste would save of it.
func (b book) budget(asOf tables.Date, bagKg float64) ([]tables.Budget, []Saving) {
	if !asOf.Valid() || len(b.entries) == 0 {
		return nil, nil
	}
	from := b.basisFor(asOf)
	var names []string
	var all []float64
	members := map[string][]float64{}
	for _, e := range b.entries {
		if !from.has(e.Date) {
			continue
		}
		class := cmp.Or(strings.TrimSpace(e.Class), notGiven)
		i := slices.IndexFunc(names, func(n string) bool { return fold(n) == fold(class) })
		if i < 0 {
			names = append(names, class)
		}
		members[fold(class)] = append(members[fold(class)], e.PlasterKg)
		all = append(all, e.PlasterKg)
	}
	if len(names) == 0 {
		return nil, nil
	}
	slices.SortFunc(names, func(x, y string) int { return cmp.Compare(fold(x), fold(y)) })
	var rows []tables.Budget
	for _, name := range names {
		rows = append(rows, b.budgetRow(name, from.coming, compoundOf(members[fold(name)], from.periods), bagKg))
	}
	total := b.budgetRow(allClasses, from.coming, compoundOf(all, from.periods), bagKg)
	return append(rows, total), b.savings(from, total.PlasterKgP50)
}

// allClasses names the row for all classes together.
const allClasses = "all"

func (b book) budgetRow(class string, period span, c compound, bagKg float64) tables.Budget {
	p90 := c.quantile(0.9)
	p50 := c.quantile(0.5)
	return tables.Budget{Class: class, Period: period.String(), PlasterKgP10: c.quantile(0.1), PlasterKgP50: p50, PlasterKgP90: p90,
		Bags: tables.Count(min(math.Ceil(p90/bagKg), math.MaxInt32)), CostP50: b.prices.cost(p50, period.first)}
}

// savings is what halving each cause of waste would save of expectedKg, the middle
// forecast of the plaster of the coming period: half the cause's share of the plaster mixed in
// the pours that the budget rests on, or in all where none of those is known.
// What is unexplained has no cause to halve.
func (b book) savings(from basis, expectedKg float64) []Saving {
	var entries []entry
	for _, e := range b.entries {
		if from.has(e.Date) {
			entries = append(entries, e)
		}
	}
	mixed := b.plasterOfKnown(entries)
	if mixed == 0 {
		entries = b.entries
		mixed = b.plasterOfKnown(entries)
	}
	words := map[string]string{
		causeLeftover: "halving the plaster left over", causeSpilled: "halving the spills", causeTrimmed: "halving the trimmings", causeFailed: "halving the failed pours",
	}
	var out []Saving
	for _, cause := range causes() {
		var kg float64
		for _, e := range entries {
			if e.known() {
				kg += e.parts.of(cause)
			}
		}
		if change := words[cause]; change != "" && kg > leastPartKg {
			saved := kg / mixed / 2 * expectedKg
			out = append(out, Saving{Change: change, PlasterKg: saved, Cost: b.prices.cost(saved, from.coming.first)})
		}
	}
	return out
}
