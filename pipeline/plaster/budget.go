package plaster

import (
	"hash/fnv"
	"math"
	"slices"

	"moldwright/pipeline/tables"
)

// budgetDraws is how many coming terms are simulated for each class.
const budgetDraws = 4000

// Basis of a row of the budget.
const (
	basisPlanned  = "pours planned"
	basisForecast = "pours forecast from the log"
	basisMixed    = "pours planned for some classes, forecast for the others"
)

// draws are simulated coming terms.
type draws struct {
	kg, pours []float64
}

// outlook is the budget's simulation of the coming term.
type outlook struct {
	coming  span
	windows []window
	model   pourModel // of all pours that are not planned, together
	fitted  bool
	total   draws
}

// rngFor draws for one subject; each has a stream of its own, by its name.
func (b book) rngFor(subject string) lots {
	h := fnv.New64a()
	h.Write([]byte(subject))
	return newLots(b.set.Seed, h.Sum64())
}

// recentPours is how many of its latest pours a class's plaster per pour is drawn from.
const recentPours = 300

func latest(pours []int32) []int32 { return pours[max(0, len(pours)-recentPours):] }

// latestPours are the places of the latest pours of all classes.
func (b book) latestPours() []int32 {
	out := make([]int32, min(recentPours, len(b.entries)))
	for i := range out {
		out[i] = int32(len(b.entries) - len(out) + i)
	}
	return out
}

// budget forecasts the plaster of the coming term by class, with a row for all
// of them. The number of pours is the plan's where there is one, else drawn from
// pourModel; the plaster of each is that of a pour of the class, see urn. The
// row for all has a model of its own, of the pours of all classes that are not
// planned together: classes that come and go, and pours that move from one to the
// other, leave their sum alone.
func (b book) budget(asOf tables.Date, bagKg float64) ([]tables.Budget, outlook) {
	if !asOf.Valid() || len(b.entries) == 0 || !b.entries[0].Date.Valid() {
		return nil, outlook{}
	}
	o := outlook{coming: comingTerm(asOf)}
	o.windows = windowsOf(o.coming, b.entries[0].Date, asOf)
	classes := b.classesOf(asOf)
	if len(o.windows) == 0 || len(classes) == 0 {
		return nil, outlook{}
	}
	model, fitted := fitPours(b.cellsOf(classes, o.windows), len(classes), o.coming)
	var rows []tables.Budget
	rest := classPours{name: allClasses, others: true, planned: tables.Absent()}
	var planned []draws
	for c, class := range classes {
		d, ok := b.drawClass(c, class, model, fitted)
		if tables.Has(class.planned) {
			planned = append(planned, d)
		} else {
			rest.pours = append(rest.pours, class.pours...)
		}
		if ok {
			rows = append(rows, b.budgetRow(class, d, o.coming, bagKg))
		}
	}
	slices.Sort(rest.pours)
	o.model, o.fitted = fitPours(b.cellsOf([]classPours{rest}, o.windows), 1, o.coming)
	o.total, _ = b.drawClass(0, rest, o.model, o.fitted)
	for _, d := range planned {
		for i := range o.total.kg {
			o.total.kg[i] += d.kg[i]
			o.total.pours[i] += d.pours[i]
		}
	}
	if len(rows) == 0 {
		return nil, outlook{}
	}
	whole := classPours{name: allClasses, pours: b.allPours(), planned: tables.Absent()}
	total := b.budgetRow(whole, o.total, o.coming, bagKg)
	switch {
	case len(planned) == len(classes):
		total.Basis = basisPlanned
	case len(planned) > 0:
		total.Basis = basisMixed
	}
	return append(rows, total), o
}

func (b book) allPours() []int32 {
	all := make([]int32, len(b.entries))
	for i := range all {
		all[i] = int32(i)
	}
	return all
}

// drawClass simulates the coming term of a class. ok is false where nothing
// tells how often it pours.
func (b book) drawClass(c int, class classPours, model pourModel, fitted bool) (d draws, ok bool) {
	d = draws{kg: make([]float64, budgetDraws), pours: make([]float64, budgetDraws)}
	isPlanned := tables.Has(class.planned)
	if !isPlanned && !fitted {
		return d, false
	}
	rng := b.rngFor("budget of " + fold(class.name))
	own, all := latest(class.pours), b.latestPours()
	from := urn{own: len(own), all: len(all)}
	var kg []float64 // by slot of the urn
	for _, p := range slices.Concat(own, all) {
		kg = append(kg, b.entries[p].PlasterKg)
	}
	for i := range d.kg {
		n := class.planned
		if !isPlanned {
			n = model.draw(c, rng.Rand)
		}
		d.pours[i] = n
		drawn, times := from.draw(n, rng)
		for _, slot := range drawn {
			d.kg[i] += times * kg[slot]
		}
	}
	return d, true
}

func (b book) budgetRow(class classPours, d draws, period span, bagKg float64) tables.Budget {
	kg, pours := quantiles(d.kg), quantiles(d.pours)
	cost := func(kg float64) float64 { return b.prices.cost(kg, period.first) }
	row := tables.Budget{
		Class: class.name, Period: period.String(), PlasterKgP10: kg[0], PlasterKgP50: kg[1], PlasterKgP90: kg[2],
		Bags:    tables.Count(min(math.Ceil(kg[2]/bagKg), math.MaxInt32)),
		CostP10: cost(kg[0]), CostP50: cost(kg[1]), CostP90: cost(kg[2]),
		PoursP10: pours[0], PoursP50: pours[1], PoursP90: pours[2],
		CostPerGoodCast: cost(b.kgPerGoodCast(class.pours)), Basis: basisForecast,
	}
	row.BagsCost = cost(float64(row.Bags) * bagKg)
	if tables.Has(class.planned) {
		row.Basis = basisPlanned
	}
	return row
}

// quantiles are the 10, 50 and 90 % points of draws.
func quantiles(xs []float64) [3]float64 {
	sorted := slices.Sorted(slices.Values(xs))
	at := func(p float64) float64 {
		where := p * float64(len(sorted)-1)
		i := int(where)
		j := min(i+1, len(sorted)-1)
		return sorted[i] + (where-float64(i))*(sorted[j]-sorted[i])
	}
	return [3]float64{at(0.1), at(0.5), at(0.9)}
}

// kgPerGoodCast is the plaster of pours, failed ones too, per good cast that
// their molds have made in the log; absent where there is none.
func (b book) kgPerGoodCast(pours []int32) float64 {
	var kg float64
	casts := 0
	for _, i := range pours {
		e := &b.entries[i]
		kg += e.PlasterKg
		for _, mold := range b.made(e) {
			casts += b.links.molds[mold].goodCasts
		}
	}
	if casts == 0 {
		return tables.Absent()
	}
	return kg / float64(casts)
}
