package plaster

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

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
	observation // log of plaster used by the pour over plaster needed by its gaps
	form, maker string
	needed      mass
	place       int // of the pour among the entries
}

// estimates are the pours that tell, oldest first. A mold that filled used what
// was mixed less what was left over: a spill has to be mixed too. Where the
// leftover was not weighed, it used no more than was mixed. A short mold would
// have used more than it got. Others, leaked or broken, tell nothing.
func (b book) estimates(problems *problemList) []estimate {
	var out []estimate
	for place := range b.entries {
		e := &b.entries[place]
		if !e.needed.known() {
			continue
		}
		o := observation{bound: exactly}
		took := e.PlasterKg - orZero(e.weighed.leftover)
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
				Message: fmt.Sprintf("pour %s used %.2f kg of plaster, its gaps call for %.2f kg; it is left out of the advice on how much to mix", e.Pour.Pour, took, e.needed.kg),
				Mend:    "check the plaster mixed and the gap table"})
			continue
		}
		if !(ratio > 0) {
			continue // a short pour of which all was left over bounds nothing
		}
		o.value = math.Log(ratio)
		out = append(out, estimate{observation: o, form: cmp.Or(e.form, notGiven), maker: cmp.Or(strings.TrimSpace(e.Maker), notGiven), needed: e.needed, place: place})
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
func (b book) overmix(all []estimate) []tables.Overmix {
	if exactOf(all) < fewestEstimates {
		return nil
	}
	s := spreadOf(all)
	rows := []tables.Overmix{b.advise(allForms, all, s.unseen())}
	for _, form := range s.forms {
		if form.name == notGiven {
			continue // the advice for all forms is theirs
		}
		rows = append(rows, b.advise(form.name, form.members, s.predict(form)))
	}
	return rows
}

func exactOf(all []estimate) int {
	exact := 0
	for _, e := range all {
		if e.bound == exactly {
			exact++
		}
	}
	return exact
}

// advise advises a form with these pours.
func (b book) advise(form string, members []estimate, d distuv.LogNormal) tables.Overmix {
	share := advisedShare(d, b.lostMold(members))
	return tables.Overmix{Form: form, EstimateErrorSD: d.Sigma, AdvisedOvermixShare: share, ChanceShort: 1 - d.CDF(1+share)}
}

// advisedShare is the cheapest share to mix over the need, where a lost mold costs
// so many times its plaster.
func advisedShare(d distuv.LogNormal, lostMold float64) float64 {
	best := cheapestQuantity(d, stockCosts{unitSpare: 1, shortage: lostMold})
	return min(max(best-1, 0), mostOvermix)
}

// lostMold is what a lost mold costs, in costs of the plaster that it needs, at
// the latest price.
func (b book) lostMold(members []estimate) float64 {
	var kg float64
	for _, m := range members {
		kg += m.needed.kg
	}
	latest := tables.NoDate
	if n := len(b.prices.plaster); n > 0 {
		latest = b.prices.plaster[n-1].from
	}
	return b.lostMoldOf(kg/float64(len(members)), latest)
}

// lostMoldOf is that of a mold that needs so much plaster, at the price of a day.
func (b book) lostMoldOf(kg float64, day tables.Date) float64 {
	if plaster := b.prices.cost(kg, day); plaster > 0 && tables.Has(b.prices.labour) {
		return 1 + b.prices.labour/plaster
	}
	return 1
}

// formSpread is the pours of a form, or of a maker, with bounds replaced by what they lead to expect.
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

func spreadOf(all []estimate) spread { return spreadBy(all, formOf) }

func formOf(e estimate) string  { return e.form }
func makerOf(e estimate) string { return e.maker }

// spreadBy is the spread within and between the groups that key names; forms
// are then those groups.
func spreadBy(all []estimate, key func(estimate) string) spread {
	var obs []observation
	for _, e := range all {
		obs = append(obs, e.observation)
	}
	prior := priorSpread{variance: readingVariance(all), df: spreadPriorPours}
	var s spread
	var sd float64
	s.mean, sd = fitCensored(obs, prior)
	s.forms = groupsOf(all, key)
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

// predict is the distribution of plaster used over plaster needed for the next
// pour of a form: its mean leans on all forms by what both are worth.
func (s spread) predict(f formSpread) distuv.LogNormal {
	mean, variance := s.leaning(f)
	return distuv.LogNormal{Mu: mean, Sigma: math.Sqrt(s.within + variance)}
}

// leaning is the mean of a form and its variance.
func (s spread) leaning(f formSpread) (mean, variance float64) {
	weight := 0.0
	if s.between > 0 {
		weight = s.between / (s.between + s.within/f.n())
	}
	mean = weight*f.mean + (1-weight)*s.mean
	return mean, s.between*(1-weight) + (1-weight)*(1-weight)*s.meanVar
}

// unseen is the distribution for a form without pours.
func (s spread) unseen() distuv.LogNormal {
	return distuv.LogNormal{Mu: s.mean, Sigma: math.Sqrt(s.within + s.between + s.meanVar)}
}

// meanOf is the mean of the form of that name and its variance; without pours
// of it, or where none is given, that of a form not seen.
func (s spread) meanOf(name string) (mean, variance float64) {
	folded := fold(name)
	for _, f := range s.forms {
		if (f.name == name || fold(f.name) == folded) && f.name != notGiven {
			return s.leaning(f)
		}
	}
	return s.mean, s.between + s.meanVar
}

func groupsOf(all []estimate, key func(estimate) string) []formSpread {
	var forms []formSpread
	numbered, known := numbers{}, map[string]int32{} // by name as written
	for _, e := range all {
		name := key(e)
		i, met := known[name]
		if !met {
			i = numbered.of(name)
			known[name] = i
		}
		if int(i) > len(forms) {
			forms = append(forms, formSpread{name: name})
		}
		forms[i-1].members = append(forms[i-1].members, e)
	}
	slices.SortFunc(forms, func(a, b formSpread) int { return cmp.Compare(fold(a.name), fold(b.name)) })
	return forms
}
