package wall

// moldCasts are the usable casts of one mold, oldest first, with their weights.
// All slices have one length.
type moldCasts struct {
	rows    []row
	slipOf  []string // batch, as logged or as the form's nearest cast's; "" where unknown
	counts  []int    // readings behind the wall
	reading []float64
	robust  []float64
}

// casts are those of mold m of the log. They are read only.
func (p *Posterior) casts(m int) moldCasts {
	if p.far != nil {
		c, _ := p.castsAndResiduals(m)
		return c
	}
	from, to := p.in.first[m], p.in.first[m+1]
	return moldCasts{p.in.rows[from:to], p.in.slipOf[from:to], p.in.counts[from:to], p.weights.reading[from:to], p.weights.robust[from:to]}
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
	for i, r := range rows {
		res[i] = r.logWall - p.fit.law.logWall(d, r, beta, b, byBeta, byB)
	}
	return res
}
