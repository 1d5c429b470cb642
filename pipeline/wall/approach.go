package wall

import (
	"math"
	"slices"
)

// Approach is how a mold comes nearer to its limit, as far as the log tells: its
// casts as readings of its own effects, and the course at any such effects, of
// the rested mold with its form's usual slip. A mold that is too slow only while
// it is wet can be given a rest.
type Approach struct {
	Track
	DF   float64 // degrees of freedom of what is known of the spread of wear
	Rate float64 // margin (see Course.Margin) that a cast takes, by all molds of the form and kind

	fit  fit
	row  row
	beta []float64
}

// Approach is that of mold m of the log; ok is false where its form was not
// fitted, where molds have no wear of their own in the model, and where no other
// mold tells of its form and kind: RestedDrawer serves there.
func (p *Posterior) Approach(m int) (a Approach, ok bool) {
	r, ok := p.rested(m)
	if !ok || !p.fit.design.slopes {
		return Approach{}, false
	}
	track, beta, err := p.track(m)
	if err != nil {
		return Approach{}, false
	}
	r.age = 1
	df := p.fit.model.ResidualDF
	for j, d := range p.df {
		if c := p.fit.design.columns[j]; c.ages && c.of(r) != 0 {
			df = d
		}
	}
	r.age = 0
	_, rate := p.fit.law.course(p.fit.design, r, p.fit.model.Beta, make([]float64, p.fit.design.randoms())).Margin(1, 1)
	return Approach{Track: track, DF: math.Max(1, df), Rate: rate, fit: p.fit, row: r, beta: beta}, true
}

// Course is the mold's course at its own effects b.
func (a Approach) Course(b []float64) Course {
	return a.fit.law.course(a.fit.design, a.row, a.beta, slices.Clone(b))
}

// RestedDrawer is as Drawer, of the rested mold.
func (p *Posterior) RestedDrawer(m int) (d Drawer, ok bool) {
	r, ok := p.rested(m)
	if !ok {
		return Drawer{}, false
	}
	mean, cov := p.fit.model.Joint(m)
	return Drawer{p: p, row: r, mean: mean, factor: root(cov)}, true
}

// rested is a cast of mold m without any wetness, with its form's usual slip.
func (p *Posterior) rested(m int) (row, bool) {
	mold := p.in.log.Molds[m]
	r := p.at(m, orUnknown(mold.Form), mold.Kind, 1, 0)
	r.wet = 0
	return r, p.knows(r.form)
}

// Gain is the change of the cast's log wall by a loss of margin (see
// Course.Margin) of one unit; 0 for the first cast of a new mold, which has lost
// nothing yet.
func (c TrackCast) Gain() float64 {
	if c.Age == 0 || len(c.Z) < 2 {
		return 0
	}
	return -math.Abs(c.Z[1]) / float64(c.Age)
}

// Margin is log(L(t)/wall) when new: it loses −Slope per cast.
func (c PowerCourse) Margin(wallMM, dwellMin float64) (fresh, perCast float64) {
	return c.Base + c.Exponent*math.Log(dwellMin) - math.Log(wallMM), -c.Slope
}

// Margin is what the mold's resistance may still grow by, in min/mm: t/L − A·L
// when new, and PerCast less with each cast.
func (c SeriesCourse) Margin(wallMM, dwellMin float64) (fresh, perCast float64) {
	return dwellMin/wallMM - c.A*wallMM, c.PerCast
}
