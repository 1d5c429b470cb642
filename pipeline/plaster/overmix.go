package plaster

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

const (
	// Fewer pours than these, with leftovers weighed and gaps measured, give no advice.
	fewestEstimates = 3
	// The spread of estimates is as far known beforehand as from so many pours.
	spreadPriorPours = 4
	// More is a matter of the estimate, not of a margin on it.
	mostOvermix = 0.5
	// A pour that took twice what its gaps call for, or half, is a slip of the pen.
	farOff = 2
	// allForms names the advice for a form without pours of its own.
	allForms = "all"
)

// estimate is how one pour's need compared with its gaps.
type estimate struct {
	observation // log of plaster taken by the mold over plaster needed by its gaps
	form        string
	needed      mass
}

// estimates are the pours that tell. A mold that filled took what was mixed less
// what was left over and spilled; where the leftover was not weighed, it took
// no more than was mixed. A short mold would have taken more than it got.
// Others, leaked or broken, tell nothing.
func (b book) estimates(problems *problemList) []estimate {
	var out []estimate
	for _, e := range b.entries {
		if !e.needed.known() {
			continue
		}
		o := observation{bound: exactly}
		took := e.PlasterKg - orZero(e.weighed.leftover) - orZero(e.weighed.spilled)
		switch {
		case e.Outcome == "short":
			o.bound = above
		case !e.usable:
			continue
		case !tables.Has(e.weighed.leftover):
			o.bound = below
		}
		ratio := took / e.needed.kg
		if !(ratio > 1.0/farOff) && o.bound != above || ratio > farOff && o.bound != below {
			problems.add(e.Origin, "plaster", tables.Problem{Code: "estimate-far-off", Severity: tables.Notice, Value: fmt.Sprintf("%.2f kg", took),
				Message: fmt.Sprintf("the mold of pour %s took %.2f kg of plaster, its gaps call for %.2f kg; the pour is left out of the advice on how much to mix", e.Pour.Pour, took, e.needed.kg),
				Mend:    "check the plaster mixed and the gap table"})
			continue
		}
		if !(ratio > 0) {
			continue // a short pour of which all was spilled bounds nothing
		}
		o.value = math.Log(ratio)
		out = append(out, estimate{observation: o, form: cmp.Or(e.form, notGiven), needed: e.needed})
	}
	return out
}

// overmix advises how much more to mix than the gaps call for, by form.
//
// The log of plaster taken over plaster needed is normal about the mean of its
// form; the means of forms are normal about a common one, with a variance by the
// method of moments, so that a form with few pours leans on all. The spread
// starts from what the reading errors predict. A short pour costs the plaster
// of a whole mold, and the labour where it is priced; a spare kilogram its
// price: see cheapestQuantity.
func (b book) overmix(problems *problemList) []tables.Overmix {
	all := b.estimates(problems)
	exact := 0
	for _, e := range all {
		if e.bound == exactly {
			exact++
		}
	}
	if exact < fewestEstimates {
		return nil
	}
	s := spreadOf(all)
	rows := []tables.Overmix{b.advise(allForms, all, distuv.LogNormal{Mu: s.mean, Sigma: math.Sqrt(s.within + s.between + s.meanVar)})}
	for _, form := range s.forms {
		if form.name == notGiven {
			continue // the advice for all forms is theirs
		}
		rows = append(rows, b.advise(form.name, form.members, s.predict(form)))
	}
	return rows
}

// advise finds the cheapest share to mix over the need, for need 1.
func (b book) advise(form string, members []estimate, d distuv.LogNormal) tables.Overmix {
	best := cheapestQuantity(d, stockCosts{unitSpare: 1, shortage: b.lostMold(members)})
	share := min(max(best-1, 0), mostOvermix)
	return tables.Overmix{Form: form, EstimateErrorSD: d.Sigma, AdvisedOvermixShare: share, ChanceShort: 1 - d.CDF(1+share)}
}

// lostMold is what a lost mold costs, in costs of the plaster that it needs.
func (b book) lostMold(members []estimate) float64 {
	var kg float64
	for _, m := range members {
		kg += m.needed.kg
	}
	kg /= float64(len(members))
	if n := len(b.prices.plaster); n > 0 && tables.Has(b.prices.labour) {
		if plaster := kg * b.prices.plaster[n-1].perKg; plaster > 0 {
			return 1 + b.prices.labour/plaster
		}
	}
	return 1
}

// formSpread is a form's pours, with bounds replaced by what they lead to expect.
type formSpread struct {
	name    string
	members []estimate
	mean    float64
}

func (f formSpread) n() float64 { return float64(len(f.members)) }

// spread is how estimates scatter within forms and between them, on the log scale.
type spread struct {
	mean, meanVar   float64 // of all forms, and the variance of that mean
	within, between float64 // variances
	forms           []formSpread
}

func spreadOf(all []estimate) spread {
	var obs []observation
	for _, e := range all {
		obs = append(obs, e.observation)
	}
	prior := priorSpread{variance: readingVariance(all), df: spreadPriorPours}
	var s spread
	var sd float64
	s.mean, sd = fitCensored(obs, prior)
	s.forms = byForm(all)
	within, n := prior.df*prior.variance, float64(len(all))
	for i := range s.forms {
		f := &s.forms[i]
		var sum, squares float64
		for _, e := range f.members {
			m, v := e.expected(s.mean, sd)
			sum += m
			squares += v + m*m
		}
		f.mean = sum / f.n()
		within += max(0, squares-f.n()*f.mean*f.mean)
	}
	s.within = within / (prior.df + n - float64(len(s.forms)))
	s.between = s.betweenForms(n)
	s.meanVar = s.within / n
	for _, f := range s.forms {
		s.meanVar += s.between * f.n() * f.n() / (n * n)
	}
	return s
}

// readingVariance is the variance of the log of the need that the reading errors
// predict: the median over the pours that took a known amount.
func readingVariance(all []estimate) float64 {
	var vs []float64
	for _, e := range all {
		if e.bound == exactly {
			vs = append(vs, math.Pow(e.needed.se/e.needed.kg, 2))
		}
	}
	slices.Sort(vs)
	return vs[len(vs)/2]
}

// betweenForms is the variance of the forms' means by the method of moments
// (DerSimonian and Laird 1986, Control. Clin. Trials 7; from memory), not below 0.
func (s spread) betweenForms(n float64) float64 {
	var q, squares float64
	for _, f := range s.forms {
		q += f.n() * (f.mean - s.mean) * (f.mean - s.mean)
		squares += f.n() * f.n()
	}
	if k := float64(len(s.forms)); k > 1 {
		return max(0, (q-(k-1)*s.within)/(n-squares/n))
	}
	return 0
}

// predict is the distribution of plaster taken over plaster needed for the next
// pour of a form: its mean leans on all forms by what both are worth.
func (s spread) predict(f formSpread) distuv.LogNormal {
	weight := 0.0
	if s.between > 0 {
		weight = s.between / (s.between + s.within/f.n())
	}
	mean := weight*f.mean + (1-weight)*s.mean
	meanVar := s.between*(1-weight) + (1-weight)*(1-weight)*s.meanVar
	return distuv.LogNormal{Mu: mean, Sigma: math.Sqrt(s.within + meanVar)}
}

func byForm(all []estimate) []formSpread {
	var forms []formSpread
	for _, e := range all {
		i := slices.IndexFunc(forms, func(f formSpread) bool { return fold(f.name) == fold(e.form) })
		if i < 0 {
			forms = append(forms, formSpread{name: e.form})
			i = len(forms) - 1
		}
		forms[i].members = append(forms[i].members, e)
	}
	slices.SortFunc(forms, func(a, b formSpread) int { return cmp.Compare(fold(a.name), fold(b.name)) })
	return forms
}
