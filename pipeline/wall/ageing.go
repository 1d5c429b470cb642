package wall

import (
	"fmt"
	"slices"

	"moldwright/pipeline/stats/mixed"
)

// planAgeing gives a kind its own age slope where the data carry it; the other
// kinds share one.
func (d *design) planAgeing(in inputs) {
	casts := map[string]map[int]int{}
	var kinds []string
	for _, r := range in.rows {
		if casts[r.kind] == nil {
			casts[r.kind] = map[int]int{}
			kinds = append(kinds, r.kind)
		}
		casts[r.kind][r.mold]++
	}
	slices.Sort(kinds)
	var own, shared []string
	for _, k := range kinds {
		molds := 0
		for _, n := range casts[k] {
			molds += int(indicator(n >= leastCastsOfKind))
		}
		if molds >= leastMoldsOfKind {
			own = append(own, k)
		} else {
			shared = append(shared, k)
		}
	}
	for _, k := range own {
		d.columns = append(d.columns, column{term: ageTerm(k), of: func(r row) float64 { return r.age * indicator(r.kind == k) }, ages: true, believed: wearPrior(k)})
	}
	if len(shared) == 0 {
		return
	}
	if len(own) > 0 {
		d.notes = append(d.notes, fmt.Sprintf("kinds with little data (%s) share one age slope: a slope of its own needs %d molds with %d measured casts each", join(shared), leastMoldsOfKind, leastCastsOfKind))
	}
	d.columns = append(d.columns, column{
		term: ageTerm(join(shared)), ages: true, believed: wearPrior(join(shared)),
		of: func(r row) float64 { return r.age * indicator(slices.Contains(shared, r.kind)) },
	})
}

func ageTerm(kind string) string { return "age, " + kind }

// byForm is the design with the age slope of a kind taken apart by form, where
// at least two forms of the kind have the molds for a slope of their own; ok is
// false where none has.
func (d design) byForm(in inputs) (out design, ok bool) {
	out = d
	out.columns = nil
	for _, c := range d.columns {
		var forms []string
		if c.ages {
			forms = in.formsWithSlope(c)
		}
		if len(forms) < 2 {
			out.columns = append(out.columns, c)
			continue
		}
		ok = true
		for _, f := range forms {
			out.columns = append(out.columns, column{
				term: c.term + ", " + f, ages: true, believed: c.believed,
				of: func(r row) float64 { return c.of(r) * indicator(r.form == f) },
			})
		}
		rest := column{term: c.term + ", other forms", ages: true, believed: c.believed,
			of: func(r row) float64 { return c.of(r) * indicator(!slices.Contains(forms, r.form)) }}
		if slices.ContainsFunc(in.rows, func(r row) bool { return rest.of(r) != 0 }) {
			out.columns = append(out.columns, rest)
		}
	}
	return out, ok
}

// formsWithSlope are the forms whose molds under an age column could carry a
// slope of their own.
func (in inputs) formsWithSlope(c column) []string {
	casts := map[string]map[int]int{}
	for _, r := range in.rows {
		r.age++ // an age of zero is one of the column, too
		if c.of(r) == 0 {
			continue
		}
		if casts[r.form] == nil {
			casts[r.form] = map[int]int{}
		}
		casts[r.form][r.mold]++
	}
	var forms []string
	for f, molds := range casts {
		long := 0
		for _, n := range molds {
			long += int(indicator(n >= leastCastsOfKind))
		}
		if long >= leastMoldsOfKind {
			forms = append(forms, f)
		}
	}
	slices.Sort(forms)
	return forms
}

// chooseAgeing lets forms of a kind age apart where that lowers AICc by 2 or more.
func chooseAgeing(in inputs, d design, weights []float64, near fit) (design, error) {
	apart, ok := d.byForm(in)
	if !ok {
		return d, nil
	}
	l := powerLaw{free: true}
	together, err := fitOne(in, l, d, weights, start{at: &near}, mixed.ML)
	if err != nil {
		return d, err
	}
	split, err := fitOne(in, l, apart, weights, start{at: &near}, mixed.ML)
	if err != nil || together.aicc-split.aicc < 2 {
		d.notes = append(slices.Clone(d.notes), "forms of a kind age alike in the model: letting them age apart does not pay in AICc")
		return d, nil
	}
	return apart, nil
}
