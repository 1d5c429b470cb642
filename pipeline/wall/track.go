package wall

import "slices"

// Track is a mold's measured casts as a straight-line model sees them: at each
// cast the log wall, less what form, dwell, slip, wetness and its kind's wear
// explain, is Z'b + ε with b ~ N(0, G) the mold's own effects. What is explained
// is learned from the other molds, where they tell it: a mold that wears fast
// must not be measured by a standard that it set itself.
type Track struct {
	G     [][]float64
	Doubt [][]float64 // covariance of what the others tell of level and wear, in the places of b
	Casts []TrackCast
}

// TrackCast is one of them.
type TrackCast struct {
	Cast     int     // index in the log's casts
	Age      int     // casts before this one
	Slip     string  // batch, as logged or as the form's nearest cast's; "" where unknown
	Y        float64 // log wall less what is explained
	Z        []float64
	Wear     float64 // change of log wall here by one cast's wear of the kind; negative where molds wear
	Residual float64 // of log wall, the mold's own effects taken out
	Variance float64 // of ε
	Trust    float64 // weight in the robust fit, in (0, 1]
}

// Track is that of mold m of the log. A curved law is replaced by its tangent at
// the mold's effects (Lindstrom & Bates 1990).
func (p *Posterior) Track(m int) Track {
	out, _, _ := p.track(m)
	return out
}

// track is Track with the fixed effects by the other molds; an error where they do not
// tell them all.
func (p *Posterior) track(m int) (out Track, others []float64, err error) {
	model, mode := p.fit.model, p.fit.mode(m)
	level, wear := p.places(m)
	both := append(slices.Clone(level), wear...)
	beta, cov, err := model.LeaveOutSome(m, both)
	if err != nil { // its form or kind is known from this mold only
		beta, cov = model.Beta, model.BetaCovOf(both)
	}
	out = Track{G: model.G(), Doubt: p.doubt(len(level), cov)}
	casts := p.casts(m)
	d, pick := p.known(m)
	own, told := pick(model.Beta), pick(beta)
	q := len(mode)
	byBeta, all := make([]float64, len(own)), make([]float64, q*len(casts.rows))
	out.Casts = make([]TrackCast, 0, len(casts.rows))
	for i := range casts.rows {
		r := &casts.rows[i]
		z := all[i*q : (i+1)*q : (i+1)*q]
		fitted := logWallBy(p.fit.law, &d, r, own, mode, byBeta, z)
		others := logWallBy(p.fit.law, &d, r, told, mode, byBeta, z)
		c := TrackCast{
			Cast: r.cast, Age: int(r.age), Slip: casts.slipOf[i], Z: z,
			Residual: r.logWall - fitted, Y: r.logWall - others + dot(z, mode),
			Variance: model.Sigma * model.Sigma / casts.reading[i], Trust: casts.robust[i],
		}
		for j := range d.columns {
			if d.columns[j].ages && r.age > 0 {
				c.Wear += byBeta[j] * told[j] / r.age
			}
		}
		out.Casts = append(out.Casts, c)
	}
	return out, beta, err
}

// Residuals are the casts of mold m with what is left of each once the law and
// the mold's own effects are taken out: as in its Track, but without what only
// the other molds tell (Y, Z and Wear), which takes a hundred times as long.
func (p *Posterior) Residuals(m int) []TrackCast {
	casts := p.casts(m)
	residuals := p.residuals(m, casts.rows)
	out := make([]TrackCast, len(casts.rows))
	sigma2 := p.fit.model.Sigma * p.fit.model.Sigma
	for i, r := range casts.rows {
		out[i] = TrackCast{
			Cast: r.cast, Age: int(r.age), Slip: casts.slipOf[i], Residual: residuals[i],
			Variance: sigma2 / casts.reading[i], Trust: casts.robust[i],
		}
	}
	return out
}

// places are the columns of the level of the mold's form and of the wear of its
// kind, which the mold's own effects are added to.
func (p *Posterior) places(m int) (level, wear []int) {
	mold := p.in.log.Molds[m]
	r := row{mold: m, form: orUnknown(mold.Form), kind: mold.Kind, age: 1}
	for j, c := range p.fit.design.columns {
		switch {
		case c.ages && c.of(r) != 0:
			wear = append(wear, j)
		case c.term == formTerm(r.form):
			level = append(level, j)
		}
	}
	return level, wear
}

// doubt is a covariance of so many columns of level, and behind them those of
// wear, as one of level and wear.
func (p *Posterior) doubt(levels int, cov [][]float64) [][]float64 {
	q := p.fit.design.randoms()
	place := func(a int) int {
		if a < levels {
			return 0
		}
		return 1
	}
	out := make([][]float64, q)
	for i := range out {
		out[i] = make([]float64, q)
	}
	for a := range cov {
		for b := range cov {
			if i, k := place(a), place(b); i < q && k < q {
				out[i][k] += cov[a][b]
			}
		}
	}
	return out
}
