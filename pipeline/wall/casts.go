package wall

// moldCasts are the usable casts of one mold, oldest first, with their weights.
// All slices but the last have one length.
type moldCasts struct {
	rows    []row
	slipOf  []string // batch, as logged or as the form's nearest cast's; "" where unknown
	counts  []int    // readings behind the wall, 1 where their number says nothing
	reading []float64
	robust  []float64
	odd     []int32 // of a large log, those of which a reading was left out
}

// casts are those of mold m of the log. They are read only.
func (p *Posterior) casts(m int) moldCasts {
	if p.far != nil {
		c, _ := p.castsAndResiduals(m)
		return c
	}
	from, to := p.in.first[m], p.in.first[m+1]
	return moldCasts{rows: p.in.rows[from:to], slipOf: p.in.slipOf[from:to], counts: p.in.counts[from:to],
		reading: p.weights.reading[from:to], robust: p.weights.robust[from:to]}
}

// castsAndResiduals are the casts of mold m and their residuals, on which the
// weights of a large log's casts rest.
func (p *Posterior) castsAndResiduals(m int) (moldCasts, []float64) {
	if p.far == nil {
		c := p.casts(m)
		return c, p.residuals(m, c.rows)
	}
	var c moldCasts
	p.far.rows(m, &c)
	residuals := p.residuals(m, c.rows)
	p.far.weigh(&c, residuals)
	return c, residuals
}

// known is the part of the design that casts of mold m know, and how to pick its
// effects from all: of a large log that is a small part.
func (p *Posterior) known(m int) (d design, pick func(beta []float64) []float64) {
	if p.far == nil || p.far.sortOf[m] < 0 {
		return p.fit.design, func(beta []float64) []float64 { return beta }
	}
	s := &p.far.sorts[p.far.sortOf[m]]
	return s.design, func(beta []float64) []float64 { return s.picked(beta, nil) }
}

// residuals are those of the casts of mold m on the log scale, its own effects
// taken out.
func (p *Posterior) residuals(m int, rows []row) []float64 {
	d, pick := p.known(m)
	beta, b := pick(p.fit.model.Beta), p.fit.mode(m)
	byBeta, byB := make([]float64, len(beta)), make([]float64, len(b))
	res := make([]float64, len(rows))
	for i := range rows {
		res[i] = rows[i].logWall - logWallBy(p.fit.law, &d, &rows[i], beta, b, byBeta, byB)
	}
	return res
}
