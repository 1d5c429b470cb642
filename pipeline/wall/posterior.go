package wall

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/tables"
)

// Posterior is the fitted wall model as later stages use it: to predict walls
// and to draw mold paths. Several goroutines may use one.
type Posterior struct {
	in      inputs // its log is the whole log; its rows are all usable casts, or of a large log those learned from
	fit     fit
	weights weights // of the rows
	far     *far    // how a large log is walked; nil where the rows are all usable casts

	typicalWet  []float64                     // wetness of a mold's usual cast, by mold; absent where it has none
	typicalSlip map[string][slipTerms]float64 // what is known of a form's usual slip, by form
	lastSlips   map[string]on                 // by form its last slip
	middleWet   float64
	kindOf      map[string]string // most frequent kind of mold by form
	usualDwells map[string]float64
	df          []float64 // of the terms
	quantiles   *sync.Map // of the t distribution, by probability and degrees of freedom
}

// usualCasts is how many last casts of a mold tell its usual wetness.
const usualCasts = 10

// newPosterior is that of a log whose casts were all learned from.
func newPosterior(in inputs, f fit, weights weights) *Posterior {
	p := posteriorOf(in, f, weights)
	for i, r := range in.rows {
		if c := in.log.Casts[r.cast]; in.slipOf[i] != "" && c.Date >= p.lastSlips[r.form].day {
			p.lastSlips[r.form] = on{c.Date, in.slipOf[i]}
		}
	}
	for m := range in.log.Molds {
		var last []float64
		for _, r := range in.rows[in.first[m]:in.first[m+1]] {
			last = append(last, r.wet)
		}
		p.typicalWet = append(p.typicalWet, median(last[max(0, len(last)-usualCasts):]))
	}
	return p
}

// posteriorOf is the posterior but for what it knows of single molds and of last
// slips.
func posteriorOf(in inputs, f fit, weights weights) *Posterior {
	p := &Posterior{
		in: in, fit: f, weights: weights, typicalSlip: map[string][slipTerms]float64{}, lastSlips: map[string]on{}, kindOf: map[string]string{},
		df: f.model.DF(), quantiles: &sync.Map{}, usualDwells: usualDwells(in.log),
	}
	all := make([]float64, 0, len(in.rows))
	slips := map[string][slipTerms][]float64{}
	kinds := map[string]map[string]int{}
	for _, r := range in.rows {
		all = append(all, r.wet)
		known := slips[r.form]
		for k := range known {
			known[k] = append(known[k], r.slip[k])
		}
		slips[r.form] = known
		if kinds[r.form] == nil {
			kinds[r.form] = map[string]int{}
		}
		kinds[r.form][r.kind]++
	}
	p.middleWet = median(all)
	for form, known := range slips {
		p.typicalSlip[form] = [slipTerms]float64{median(known[slipGravity]), median(known[slipTemperature])}
	}
	for form, counts := range kinds {
		best := ""
		for _, k := range sortedKeys(counts) {
			if best == "" || counts[k] > counts[best] {
				best = k
			}
		}
		p.kindOf[form] = best
	}
	return p
}

// Sigma is the residual standard deviation of the log wall of one cast,
// measured with as many readings as are usual of late.
func (p *Posterior) Sigma() float64 {
	unit := p.fit.model.Sigma
	return unit / math.Sqrt(p.in.readings.weight(p.in.readings.usual, unit*unit))
}

// knows reports whether casts of that form were fitted.
func (p *Posterior) knows(form string) bool { return slices.Contains(p.fit.design.forms, form) }

// at is a cast to be predicted: a mold, or −1 for a new one, at a dwell and an
// age, with the usual wetness and the usual slip of its form.
func (p *Posterior) at(mold int, form, kind string, dwellMin, age float64) row {
	wet := p.middleWet
	if mold >= 0 && tables.Has(p.typicalWet[mold]) {
		wet = p.typicalWet[mold]
	}
	return row{mold: mold, form: form, kind: kind, logT: math.Log(dwellMin), age: age, wet: wet, slip: p.typicalSlip[form]}
}

// logWall predicts the row's log wall: its mean, and the variance of that mean
// (without the residual), by the law's tangent at the mold's effects.
func (p *Posterior) logWall(r row) (mean, variance float64) { return p.predictor(r.mold).logWall(&r) }

// predictor predicts walls of one mold of the log, or of a new one, which is −1.
type predictor struct {
	group   *mixed.Group
	law     law
	design  *design // of the columns that its casts know
	columns []int   // their places in the model; nil where they are all
	beta, b []float64
	x       []float64 // derivatives by the effects of the columns
	byBeta  []float64
	byB     []float64
}

func (p *Posterior) predictor(mold int) *predictor {
	model := p.fit.model
	k := &predictor{group: model.Group(mold), law: p.fit.law, design: &p.fit.design, beta: model.Beta, byBeta: make([]float64, model.P)}
	k.b = k.group.Mode()
	k.x, k.byB = k.byBeta, make([]float64, len(k.b))
	if mold >= 0 && p.far != nil && p.far.sortOf[mold] >= 0 {
		s := &p.far.sorts[p.far.sortOf[mold]]
		k.design, k.columns, k.beta = &s.design, s.columns, s.picked(model.Beta, nil)
		k.x = make([]float64, len(s.columns))
	}
	return k
}

// logWall is that of a row of the mold.
func (k *predictor) logWall(r *row) (mean, variance float64) {
	mean = logWallBy(k.law, k.design, r, k.beta, k.b, k.x, k.byB)
	for j, c := range k.columns {
		k.byBeta[c] = k.x[j]
	}
	_, variance = k.group.Predict(k.byBeta, k.byB)
	return mean, variance
}

// course is the mold's own course at the estimates.
func (p *Posterior) course(r row) Course {
	return p.fit.law.course(p.fit.design, r, p.fit.model.Beta, p.fit.mode(r.mold))
}

// quantile of the t distribution that prediction intervals use: it has the
// residual degrees of freedom of the containment rule.
func (p *Posterior) quantile(prob float64) float64 {
	return p.quantileAt(prob, p.fit.model.ResidualDF)
}

// quantileAt keeps the few that are asked for again and again.
func (p *Posterior) quantileAt(prob, df float64) float64 {
	key := [2]float64{prob, df}
	if v, ok := p.quantiles.Load(key); ok {
		return v.(float64)
	}
	v := quantile(prob, df)
	p.quantiles.Store(key, v)
	return v
}

func quantile(prob, df float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(1, df)}.Quantile(prob)
}

// slopeQuantile is that of a mold's wear, with the degrees of freedom of its
// kind's age slope: molds, not casts, tell about a kind.
func (p *Posterior) slopeQuantile(prob float64, r row) float64 {
	df := p.fit.model.ResidualDF
	r.age = 1
	for j, d := range p.df {
		if c := p.fit.design.columns[j]; c.ages && c.of(r) != 0 {
			df = d
		}
	}
	return p.quantileAt(prob, df)
}

// slope is the change of log wall with the next cast, at the row's dwell and
// age, and its standard error.
func (p *Posterior) slope(r row) (slope, se float64) {
	next := r
	next.age++
	b := p.fit.mode(r.mold)
	now, byBeta, byB := p.fit.at(r, p.fit.model.Beta, b)
	then, nextByBeta, nextByB := p.fit.at(next, p.fit.model.Beta, b)
	_, variance := p.fit.model.Predict(r.mold, less(nextByBeta, byBeta), less(nextByB, byB))
	return then - now, math.Sqrt(variance)
}

func less(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range out {
		out[i] = a[i] - b[i]
	}
	return out
}

// Drawer draws courses of one mold from the joint posterior of the fixed effects
// and the mold's own, given the estimated variance components.
type Drawer struct {
	p      *Posterior
	row    row
	mean   []float64
	factor *mat.TriDense
}

// Drawer prepares draws for mold m of the log; ok is false where its form was
// not fitted.
func (p *Posterior) Drawer(m int) (d Drawer, ok bool) {
	mold := p.in.log.Molds[m]
	r := p.at(m, orUnknown(mold.Form), mold.Kind, 1, 0)
	if !p.knows(r.form) {
		return Drawer{}, false
	}
	mean, cov := p.fit.model.Joint(m)
	return Drawer{p: p, row: r, mean: mean, factor: root(cov)}, true
}

// Draw is one course.
func (d Drawer) Draw(rng *rand.Rand) Course {
	n := len(d.mean)
	z := make([]float64, n)
	for i := range z {
		z[i] = rng.NormFloat64()
	}
	v := slices.Clone(d.mean)
	for i := range n {
		for j := 0; j <= i; j++ {
			v[i] += d.factor.At(i, j) * z[j]
		}
	}
	cols := len(d.p.fit.design.columns)
	return d.p.fit.law.course(d.p.fit.design, d.row, v[:cols], v[cols:])
}

// root is a lower triangular square root of a covariance that may be singular.
func root(cov [][]float64) *mat.TriDense {
	n := len(cov)
	l := mat.NewTriDense(n, mat.Lower, nil)
	for i := range n {
		for j := 0; j <= i; j++ {
			s := cov[i][j]
			for k := range j {
				s -= l.At(i, k) * l.At(j, k)
			}
			switch {
			case i == j:
				l.SetTri(i, j, math.Sqrt(math.Max(0, s)))
			case l.At(j, j) > 1e-12*math.Sqrt(math.Abs(cov[j][j])+math.SmallestNonzeroFloat64):
				l.SetTri(i, j, s/l.At(j, j))
			}
		}
	}
	return l
}
