package plaster

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// adviser knows how pours compare with their gaps by form and maker. On the log
// scale a pour's use over its need is the mean of its form, plus what its maker
// is off the form's mean, plus scatter. Forms come first; what is left is spread
// over makers in the same way, so that a maker with few pours leans on all.
type adviser struct {
	forms, makers spread
	needed        float64 // mean plaster needed per pour, kg
}

// newAdviser needs fewestEstimates pours that used a known amount.
func newAdviser(all []estimate) (adviser, bool) {
	if exactOf(all) < fewestEstimates {
		return adviser{}, false
	}
	a := adviser{forms: spreadOf(all)}
	rest := slices.Clone(all)
	for i := range rest {
		mean, _ := a.forms.meanOf(rest[i].form)
		rest[i].value -= mean
		a.needed += rest[i].needed.kg / float64(len(rest))
	}
	a.makers = spreadBy(rest, makerOf)
	return a, true
}

// law is the distribution of plaster used over plaster needed for the next pour
// of a form by a maker.
func (a adviser) law(form, maker string) distuv.LogNormal {
	mean, formVar := a.forms.meanOf(form)
	shift, makerVar := a.makers.meanOf(maker)
	return distuv.LogNormal{Mu: mean + shift, Sigma: math.Sqrt(a.makers.within + formVar + makerVar)}
}

// overmixFor advises every form, every maker, and every pair of them that has poured.
func (b book) overmixFor(all []estimate) []tables.OvermixFor {
	a, ok := newAdviser(all)
	if !ok {
		return nil
	}
	byMaker := spreadBy(all, makerOf)
	rows := []tables.OvermixFor{b.overmixRow(allForms, allMakers, all, a.forms.unseen())}
	for _, f := range a.forms.forms {
		if f.name != notGiven {
			rows = append(rows, b.overmixRow(f.name, allMakers, f.members, a.forms.predict(f)))
		}
	}
	for _, m := range byMaker.forms {
		if m.name != notGiven {
			rows = append(rows, b.overmixRow(allForms, m.name, m.members, byMaker.predict(m)))
		}
	}
	for _, f := range a.forms.forms {
		for _, m := range groupsOf(f.members, makerOf) {
			if f.name != notGiven && m.name != notGiven {
				rows = append(rows, b.overmixRow(f.name, m.name, m.members, a.law(f.name, m.name)))
			}
		}
	}
	return rows
}

// allMakers names the advice for makers without pours of their own.
const allMakers = "all"

func (b book) overmixRow(form, maker string, members []estimate, d distuv.LogNormal) tables.OvermixFor {
	o := b.advise(form, members, d)
	var usual []float64
	for _, m := range members {
		usual = append(usual, b.entries[m.place].PlasterKg/m.needed.kg-1)
	}
	return tables.OvermixFor{
		Form: form, Maker: maker, Pours: tables.Count(len(members)), EstimateErrorSD: o.EstimateErrorSD,
		AdvisedOvermixShare: o.AdvisedOvermixShare, ChanceShort: o.ChanceShort, UsualOvermixShare: quantiles(usual)[1],
	}
}
