package plaster

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/lifetime"
	"moldwright/pipeline/tables"
)

const (
	kindSplit = "split"
	// Casts are counted over so many days before the day of the report.
	castYearDays = 365
	// A run is long where a form's split molds make more casts in a year than this:
	// one after the other they would be used up (common practice, no source: a
	// split mold lasts 20 to 50 casts).
	longRun = 50
	// A conventional mold takes as much plaster as a split one, give or take so
	// much on the log scale, where the log has none to compare.
	unknownMassSD = 0.25
	// So many molds made tell what a mold takes.
	fewestMade = 3
)

// conventional is a form whose split molds make long runs, and what its molds
// would take if they were conventional ones, one-piece or multi-part.
type conventional struct {
	form      string
	castsTerm float64 // casts of its split molds in a term of like length
	splitKg   moldKg
	otherKg   moldKg
	splitLife lifetime.Fit
	otherLife lifetime.Fit
	lifeBasis string
	massBasis string
}

// moldKg is the plaster of the pours, failed ones too, per mold that they made, with
// the standard error of its logarithm.
type moldKg struct {
	kg, logSE float64
	molds     int
}

// longRuns finds the forms with long runs of split molds.
func (b book) longRuns(log history.Log, coming span, asOf tables.Date) []conventional {
	casts, names := splitCasts(log, asOf)
	var out []conventional
	slices.Sort(names)
	for _, form := range names {
		if casts[form] <= longRun {
			continue
		}
		c := conventional{form: form, castsTerm: float64(casts[form]) * coming.days() / castYearDays}
		if b.massesFor(&c) && livesFor(&c, log) {
			out = append(out, c)
		}
	}
	return out
}

// splitCasts counts the casts of each form's split molds in the last year, by the form's
// first spelling.
func splitCasts(log history.Log, asOf tables.Date) (map[string]int, []string) {
	casts, spelling := map[string]int{}, map[string]string{}
	var names []string
	for _, m := range log.Molds {
		if m.Kind != kindSplit || m.Form == "" {
			continue
		}
		name, seen := spelling[fold(m.Form)]
		if !seen {
			name = m.Form
			spelling[fold(m.Form)] = name
			names = append(names, name)
		}
		for _, c := range log.Casts[m.First:m.Last] {
			if c.Date > asOf-castYearDays && c.Date <= asOf {
				casts[name]++
			}
		}
	}
	return casts, names
}

// massesFor fills in the plaster per mold. ok is false where no split mold of the
// form has a pour.
func (b book) massesFor(c *conventional) (ok bool) {
	isSplit := func(e *entry) bool { return e.kind == kindSplit }
	isOther := func(e *entry) bool { return e.kind == "one-piece" || e.kind == "multi-part" }
	form := fold(c.form)
	ofForm := func(is func(*entry) bool) func(*entry) bool {
		return func(e *entry) bool { return is(e) && fold(e.form) == form }
	}
	c.splitKg = b.perMold(ofForm(isSplit))
	if c.splitKg.molds == 0 {
		return false
	}
	if c.otherKg = b.perMold(ofForm(isOther)); c.otherKg.molds >= fewestMade {
		c.massBasis = fmt.Sprintf("plaster a mold from the log (%d split, %d conventional molds of the form)", c.splitKg.molds, c.otherKg.molds)
		return true
	}
	c.otherKg = moldKg{kg: c.splitKg.kg, logSE: math.Hypot(c.splitKg.logSE, unknownMassSD)}
	c.massBasis = "a conventional mold is taken to need as much plaster as a split one (assumed)"
	return true
}

// perMold is the plaster of the pours that fit per mold made by them. A mold of
// several parts has several pours.
func (b book) perMold(fits func(*entry) bool) moldKg {
	var kg []float64
	molds := map[int32]bool{}
	for i := range b.entries {
		e := &b.entries[i]
		if !fits(e) {
			continue
		}
		kg = append(kg, e.PlasterKg)
		for _, mold := range append([]int32{e.own}, b.made(e)...) {
			if b.links.molds[mold].listed {
				molds[mold] = true
			}
		}
	}
	if len(molds) == 0 {
		return moldKg{}
	}
	m := meanOf(kg)
	// Pours per mold scatter as failures do, about as a geometric number.
	cv := 1.0
	if len(kg) > 1 {
		var v float64
		for _, x := range kg {
			v += (x - m) * (x - m) / float64(len(kg)-1)
		}
		cv = math.Sqrt(v) / m
	}
	extra := max(0, 1-float64(len(molds))/float64(len(kg)))
	return moldKg{kg: m * float64(len(kg)) / float64(len(molds)), molds: len(molds),
		logSE: math.Sqrt((cv*cv + extra) / float64(len(molds)))}
}

// livesFor fits the lives of split and conventional molds: the log's own, whatever
// ended them, leaning on common practice where few have ended.
func livesFor(c *conventional, log history.Log) (ok bool) {
	split, splitEnded, err := lifeOf(log, lifetime.Between(20, 50, 0.9), kindSplit)
	if err != nil {
		return false
	}
	other, otherEnded, err := lifeOf(log, lifetime.Between(60, 170, 0.9), "one-piece", "multi-part")
	if err != nil {
		return false
	}
	c.splitLife, c.otherLife = split, other
	c.lifeBasis = fmt.Sprintf("lives of %d ended split and %d ended conventional molds, leaning on common practice (20 to 50 casts, about 100; no source) where few have ended", splitEnded, otherEnded)
	return true
}

func lifeOf(log history.Log, scale lifetime.LogNormal, kinds ...string) (fit lifetime.Fit, ended int, err error) {
	const halfCast = 0.5 // as package life has it: ages are whole, lives are not
	var units []lifetime.Unit
	for _, m := range log.Molds {
		if !slices.Contains(kinds, m.Kind) || m.Age <= m.BeforeLog {
			continue
		}
		u := lifetime.Unit{Entry: float64(m.BeforeLog), Exit: float64(m.Age), Ended: !m.InUse()}
		if u.Entry > 0 {
			u.Entry += halfCast
		}
		if u.Ended {
			ended++
		} else {
			u.Exit += halfCast
		}
		if u.Exit > u.Entry {
			units = append(units, u)
		}
	}
	fit, err = lifetime.FitWeibull(units, lifetime.Prior{Shape: lifetime.Between(1, 6, 0.9), Scale: scale})
	return fit, ended, err
}

// conventionalChange is what conventional molds would save on a form's long runs,
// once they are in place: casts of the term times the difference of plaster per
// cast, mold for mold over whole lives. It cannot save more than the term takes.
func (b book) conventionalChange(o outlook, c conventional) change {
	rng := b.rngFor("conventional molds for " + fold(c.form))
	out := change{
		words: fmt.Sprintf("conventional molds for the long runs of %s", c.form),
		basis: cmp.Or(c.massBasis, "") + "; " + c.lifeBasis + "; counted over whole lives, once the split molds are replaced",
	}
	for _, kg := range o.total.kg {
		perCast := func(m moldKg, life lifetime.Fit) float64 {
			return m.kg * math.Exp(m.logSE*rng.NormFloat64()) / meanLife(life.Draw(rng.Rand))
		}
		saved := c.castsTerm * (perCast(c.splitKg, c.splitLife) - perCast(c.otherKg, c.otherLife))
		out.savedKg = append(out.savedKg, min(saved, kg))
	}
	return out
}

// meanLife is a law's mean life, at least a cast and at most what no mold reaches.
func meanLife(law lifetime.Weibull) float64 {
	const least, most = 1, 2000
	if mean := law.Mean(); mean >= least {
		return min(mean, most)
	}
	return least
}
