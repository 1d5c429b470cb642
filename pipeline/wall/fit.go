package wall

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/tables"
)

// fit is one law fitted to the casts.
type fit struct {
	law    law
	design design
	tau    float64 // hours; 0 where wetness is not in the model
	model  *mixed.Model
	aicc   float64 // of the maximum-likelihood fit
	part   bool    // whether it was fitted to a part of the log only
	left   float64 // root-mean-square error of log wall, each mold without its own casts
}

// fitted is the outcome of comparing the laws.
type fitted struct {
	best       fit
	all        []fit
	weights    weights
	candidates []Candidate
	reason     string
	notes      []string
}

// start is a fit of nearly the same rows that a search may begin at; the zero
// start begins from nothing. If sure, the search also looks elsewhere in the end,
// where there may be several optima.
type start struct {
	at   *fit
	sure bool
}

// variances are those to begin with in a linear law; nil where the search has to
// be sure, which costs little there.
func (s start) variances() *mixed.Model {
	if s.at == nil || s.sure {
		return nil
	}
	return s.at.model
}

// effects are those of the same law with the same terms, nil for none.
func (s start) effects(l law, d design) *mixed.Model {
	if s.at == nil || s.at.law != l || s.at.model.P != len(d.columns) || s.at.model.Q != d.randoms() {
		return nil
	}
	return s.at.model
}

// fitLaws fits every candidate law to the same rows with the same weights.
func fitLaws(in inputs) (fitted, error) {
	d := plan(in)
	// The weights come from the law with the free exponent, which contains the
	// parabolic one and is quick to fit.
	d, w, near, err := robustWeights(in, d)
	if err != nil {
		return fitted{}, err
	}
	if d, err = chooseAgeing(in, d, w.all(), near); err != nil {
		return fitted{}, err
	}
	d, tau, err := chooseDrying(in, d, w.all(), near)
	if err != nil {
		return fitted{}, err
	}
	out, err := compare(in, d, tau, w, fitted{all: []fit{near}}, false)
	if err != nil {
		return fitted{}, err
	}
	if again, ok := out.again(in, d, w); ok {
		return again, nil
	}
	if tau > 0 && !in.quick {
		tau = refineDrying(in, out.best, tau, w.all())
		if !in.part {
			if out, err = compare(in, d, tau, w, out, false); err != nil {
				return fitted{}, err
			}
		}
	}
	// Casts that only the power law found odd get their weight back.
	if out, err = compare(in, d, tau, w.by(in, out.best), out, true); err != nil {
		return fitted{}, err
	}
	out.notes = append(out.notes, out.best.design.notes...)
	if in.slipsNamed > 0 {
		out.notes = append(out.notes, fmt.Sprintf("%d casts were logged without a slip and are taken to be of that of the form's nearest cast in time", in.slipsNamed))
	}
	if out.best.model.Singular {
		out.notes = append(out.notes, "the spread between molds is at its boundary: molds differ in rate or in wear no more than chance explains")
	}
	return out, nil
}

// again fits the chosen law alone once more, with the weights that go by it; not ok
// where more than that is wanted, or where that fit fails.
func (f fitted) again(in inputs, d design, w weights) (fitted, bool) {
	if !in.quick {
		return f, false
	}
	f.weights = w.by(in, f.best)
	fit, err := fitOne(in, f.best.law, d, f.weights.all(), start{at: &f.best}, mixed.REML)
	if err != nil || fit.design.index(exponentTerm) != f.best.design.index(exponentTerm) {
		return f, false
	}
	fit.tau, fit.part, fit.aicc = f.best.tau, f.best.part, f.best.aicc
	f.best = fit
	return f, true
}

// compare fits every candidate law at one drying time and chooses. The fits
// before it say where to begin; the last comparison looks for other optima, and
// predicts each mold from the others.
func compare(in inputs, d design, tau float64, w weights, before fitted, last bool) (fitted, error) {
	out := fitted{weights: w}
	all := in.laws
	if all == nil {
		all = laws()
	}
	fits, errs := make([]fit, len(all)), make([]error, len(all))
	var wait sync.WaitGroup
	for i, l := range all {
		wait.Go(func() {
			from, criteria := start{before.nearest(l), last && !in.part}, []mixed.Criterion{mixed.REML, mixed.ML}
			if in.quick && !last {
				criteria = criteria[1:] // AICc is all that is wanted
			}
			if fits[i], errs[i] = fitOne(in, l, d, w.all(), from, criteria...); errs[i] == nil && last {
				fits[i].left = leftOutError(in, fits[i])
			}
		})
	}
	wait.Wait()
	for i, l := range all {
		f, err := fits[i], errs[i]
		if err != nil && !linear(l) {
			out.notes = append(out.notes, fmt.Sprintf("the %s is not among the candidates: %v", l.name(), err))
			continue
		}
		if err != nil {
			return fitted{}, fmt.Errorf("%s: %w", l.name(), err)
		}
		if l == (powerLaw{free: true}) && f.design.index(exponentTerm) < 0 {
			// Without its exponent it would say that dwell does not matter.
			out.notes = append(out.notes, fmt.Sprintf("the %s is not among the candidates: the dwells vary too little to tell its exponent", l.name()))
			continue
		}
		f.tau, f.part = tau, in.part
		out.all = append(out.all, f)
	}
	if len(out.all) == 0 {
		return fitted{}, errors.New(join(out.notes))
	}
	out.choose()
	return out, nil
}

// nearest is the fit of that law, or another one that may serve as a start; nil
// for none.
func (f fitted) nearest(l law) *fit {
	for i := range f.all {
		if f.all[i].law == l {
			return &f.all[i]
		}
	}
	if len(f.all) == 0 {
		return nil
	}
	return &f.all[0]
}

// fitOne fits a law by the criteria; the model is that of the first, and AICc
// is there if the last is maximum likelihood. Columns that the data cannot tell
// apart are dropped and noted.
func fitOne(in inputs, l law, d design, weights []float64, from start, criteria ...mixed.Criterion) (fit, error) {
	d = l.extend(d)
	for {
		models, err := l.fit(in, d, weights, from, criteria...)
		var aliased *mixed.AliasedError
		if errors.As(err, &aliased) && aliased.Part == mixed.FixedColumns {
			d = d.without(aliased.Columns, "the log does not vary enough to tell it from the other terms")
			continue
		}
		if thin(err) {
			if next, ok := d.simpler(); ok {
				d = next
				continue
			}
		}
		if err != nil {
			return fit{}, err
		}
		return fit{law: l, design: d, model: models[0], aicc: models[len(models)-1].AICc()}, nil
	}
}

// thin reports whether a fit failed for want of data on what sets molds apart.
func thin(err error) bool {
	var aliased *mixed.AliasedError
	return errors.Is(err, mixed.ErrNoSpare) || errors.Is(err, mixed.ErrExactFit) || errors.Is(err, mixed.ErrOneGroup) || errors.As(err, &aliased)
}

// choose takes the law with the smallest AICc, but among those within 2 of it,
// the usual threshold (Burnham & Anderson 2002, from memory), one with the fewest
// parameters.
func (f *fitted) choose() {
	lowest := slices.MinFunc(f.all, func(a, b fit) int { return cmp.Compare(a.aicc, b.aicc) }).aicc
	best := -1
	for i, c := range f.all {
		if c.aicc >= lowest+2 {
			continue
		}
		if best < 0 || cmp.Or(cmp.Compare(len(c.design.columns), len(f.all[best].design.columns)), cmp.Compare(c.aicc, f.all[best].aicc)) < 0 {
			best = i
		}
	}
	f.best = f.all[best]
	for i, c := range f.all {
		f.candidates = append(f.candidates, Candidate{
			Law: c.law.name(), AICc: c.aicc, LeftOut: c.left, Chosen: i == best,
			Criteria: "AICc by maximum likelihood on the same casts; error of log wall with each mold predicted from the others",
		})
	}
	f.reason = f.why(best)
}

func (f *fitted) why(best int) string {
	others := slices.Delete(slices.Clone(f.all), best, best+1)
	if len(others) == 0 {
		return "the only candidate"
	}
	next := slices.MinFunc(others, func(a, b fit) int { return cmp.Compare(a.aicc, b.aicc) })
	gain := next.aicc - f.best.aicc
	if gain >= 0 {
		return fmt.Sprintf("its AICc is %.1f lower than that of the next best, the %s", gain, next.law.name())
	}
	return fmt.Sprintf("the %s is no more than %.1f better in AICc, too little to prefer it to the simpler law", next.law.name(), -gain)
}

func linear(l law) bool { _, ok := l.(powerLaw); return ok }

// exponent is the power of the dwell and its standard error, 0 where it is
// fixed; absent where the law has none.
func (f fit) exponent() (m, se float64) {
	if !linear(f.law) {
		return tables.Absent(), 0
	}
	j := f.design.index(exponentTerm)
	if j < 0 {
		return 0.5, 0
	}
	return f.model.Beta[j], math.Sqrt(f.model.BetaCov()[j][j])
}

// at is the law's log wall of a row at given effects, with the derivatives.
func (f fit) at(r row, beta, b []float64) (logWall float64, byBeta, byB []float64) {
	byBeta, byB = make([]float64, len(beta)), make([]float64, len(b))
	logWall = logWallBy(f.law, &f.design, &r, beta, b, byBeta, byB)
	return logWall, byBeta, byB
}

// mode are the effects of a mold, zero for a new one.
func (f fit) mode(mold int) []float64 { return f.model.Mode(mold) }

// leftOutError predicts every mold from the others (of very many, some as good as
// drawn by lot) and is the root-mean-square error of log wall; NaN where no mold
// can be predicted so.
func leftOutError(in inputs, f fit) float64 {
	molds := len(in.log.Molds)
	stride := (molds + mostLeftOut - 1) / mostLeftOut
	byBeta, byB, none := make([]float64, len(f.model.Beta)), make([]float64, f.design.randoms()), make([]float64, f.design.randoms())
	var sum, n float64
	for m := 0; m < molds; m += max(1, stride) {
		rows := in.rows[in.first[m]:in.first[m+1]]
		if len(rows) == 0 {
			continue
		}
		beta, err := f.model.LeaveOutFixed(m)
		if err != nil {
			continue // the only mold of its form says nothing about another
		}
		for i := range rows {
			e := rows[i].logWall - logWallBy(f.law, &f.design, &rows[i], beta, none, byBeta, byB)
			sum += e * e
			n++
		}
	}
	return math.Sqrt(sum / n)
}

// mostLeftOut is how many molds tell what leaving one out costs.
const mostLeftOut = 300

// residuals of the rows on the log scale, the molds' own effects taken out.
func (f fit) residuals(in inputs) []float64 {
	sorts, of := []sort{{design: f.design}}, make([]int32, len(in.log.Molds))
	beta := f.model.Beta
	lean := in.lean && f.design.sorted()
	if lean {
		sorts, of = f.design.sorts(in.log)
	}
	res := make([]float64, len(in.rows))
	byBeta, byB := make([]float64, len(beta)), make([]float64, f.design.randoms())
	for m, sort := range of {
		from, to := in.first[m], in.first[m+1]
		if from == to {
			continue
		}
		known, mode := &sorts[sort], f.mode(m)
		if lean {
			beta = known.picked(f.model.Beta, beta[:0:0])
		}
		for i := from; i < to; i++ {
			r := &in.rows[i]
			res[i] = r.logWall - logWallBy(f.law, &known.design, r, beta, mode, byBeta[:len(beta)], byB)
		}
	}
	return res
}

func dot(a, b []float64) float64 {
	var s float64
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

func join(words []string) string { return strings.Join(words, ", ") }
