package wall

import (
	"fmt"
	"slices"
)

// column is one fixed effect: its name and its value in a row.
type column struct {
	term string
	of   func(row) float64
	ages bool     // whether it carries the mold's age
	is   quantity // what it is in all rows that know it; unknown where of has to be asked

	believed prior // of its term in log wall; zero where nothing is
}

// quantity is what a column holds, so that walks over many casts need not ask.
type quantity int

const (
	unknownQuantity quantity = iota
	one
	moldAge
	logDwell
	carriedWet
	slipQuantity // and those after it, by the place of what is known of a slip
)

// at is the column's value in a row.
func (c *column) at(r *row) float64 {
	switch c.is {
	case unknownQuantity:
		return c.of(*r)
	case one:
		return 1
	case moldAge:
		return r.age
	case logDwell:
		return r.logT
	case carriedWet:
		return r.wet
	}
	return r.slip[c.is-slipQuantity]
}

// design is the fixed and random part of a model.
type design struct {
	columns []column
	forms   []string
	slopes  bool // whether each mold has its own wear beside its own rate
	pooled  bool // whether molds are random; with fewer than three they are not
	notes   []string
}

// Least data for a term: rules of ours, chosen so that each estimate rests on
// more than one mold or a handful of casts.
const (
	leastMoldsForSlopes = 3
	leastCastsForSlope  = 4
	leastMoldsOfKind    = 2
	leastCastsOfKind    = 8
	leastSlips          = 2
	leastSlipShare      = 0.8
)

// plan chooses the terms that the casts can carry, by rule, and says in notes
// what was left out.
func plan(in inputs) design {
	var d design
	for _, r := range in.rows {
		if !slices.Contains(d.forms, r.form) {
			d.forms = append(d.forms, r.form)
		}
	}
	slices.Sort(d.forms)
	for _, f := range d.forms {
		d.columns = append(d.columns, column{term: formTerm(f), of: func(r row) float64 { return indicator(r.form == f) }})
	}
	d.planRandom(in)
	d.planAgeing(in)
	for k, slip := range in.slips {
		if slip.distinct >= leastSlips && slip.known >= leastSlipShare {
			d.columns = append(d.columns, column{term: slip.name, of: func(r row) float64 { return r.slip[k] }, is: slipQuantity + quantity(k), believed: slipPriors[k]})
			continue
		}
		d.notes = append(d.notes, fmt.Sprintf("%s is not in the model: it needs %d different values, known for %.0f %% of the casts", slip.name, leastSlips, 100*leastSlipShare))
	}
	return d
}

// planRandom decides whether molds differ at random in rate and in wear.
func (d *design) planRandom(in inputs) {
	casts := map[int]int{}
	ages := map[int]map[float64]bool{}
	for _, r := range in.rows {
		casts[r.mold]++
		if ages[r.mold] == nil {
			ages[r.mold] = map[float64]bool{}
		}
		ages[r.mold][r.age] = true
	}
	long := 0
	for m, n := range casts {
		if n >= leastCastsForSlope && len(ages[m]) >= leastCastsForSlope {
			long++
		}
	}
	d.pooled = len(casts) >= leastMoldsForSlopes
	d.slopes = d.pooled && long >= leastMoldsForSlopes
	switch {
	case !d.pooled:
		d.notes = append(d.notes, fmt.Sprintf("with casts of %d molds only, what sets molds apart cannot be estimated: forecasts for a new mold are not given an honest width", len(casts)))
		d.columns = append(d.columns, moldColumns(in)...)
	case !d.slopes:
		d.notes = append(d.notes, fmt.Sprintf("wear is the same for all molds of a kind: separate wear needs %d molds with %d measured casts each", leastMoldsForSlopes, leastCastsForSlope))
	}
}

// moldColumns sets apart the molds of each form but its first, where there are too few
// molds to be random.
func moldColumns(in inputs) []column {
	first := map[string]int{}
	var cols []column
	done := map[int]bool{}
	for _, r := range in.rows {
		if _, ok := first[r.form]; !ok {
			first[r.form] = r.mold
		}
		if first[r.form] == r.mold || done[r.mold] {
			continue
		}
		done[r.mold] = true
		m := r.mold
		cols = append(cols, column{term: moldTerm + in.log.Molds[m].Mold, of: func(r row) float64 { return indicator(r.mold == m) }})
	}
	return cols
}

// moldTerm begins the name of the term of a single mold.
const moldTerm = "mold "

func formTerm(form string) string { return "form " + form }

func indicator(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// fillX writes the row's values of the columns.
func (d *design) fillX(r *row, x []float64) {
	for j := range d.columns {
		x[j] = d.columns[j].at(r)
	}
}

// randoms is how many random effects a mold has in the engine.
func (d design) randoms() int {
	switch {
	case d.slopes:
		return 2
	case d.pooled:
		return 1
	}
	return 0
}

// fillZ writes the row's part in the mold's effects: its level, and its wear by age.
func (d *design) fillZ(r *row, z []float64) {
	clear(z)
	if d.pooled {
		z[0] = 1
	}
	if d.slopes {
		z[1] = r.age
	}
}

// without is the design less the columns of those indices, with the reason noted.
func (d design) without(aliased []int, why string) design {
	out := d
	out.columns = nil
	out.notes = slices.Clone(d.notes)
	for j, c := range d.columns {
		if slices.Contains(aliased, j) {
			out.notes = append(out.notes, c.term+" is not in the model: "+why)
			continue
		}
		out.columns = append(out.columns, c)
	}
	return out
}

// simpler is the design with one random effect less; ok is false where it has none.
func (d design) simpler() (out design, ok bool) {
	out = d
	out.notes = slices.Clone(d.notes)
	switch {
	case d.slopes:
		out.slopes = false
		out.notes = append(out.notes, "each mold's own wear is not in the model: the casts don't tell it apart from its own rate")
	case d.pooled:
		out.pooled = false
		out.notes = append(out.notes, "what sets molds apart is not in the model: the casts don't tell it apart from the scatter of single casts")
	default:
		return d, false
	}
	return out, true
}

// index is the place of a term among the columns, −1 where it is not in.
func (d design) index(term string) int {
	return slices.IndexFunc(d.columns, func(c column) bool { return c.term == term })
}
