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
		var c moldCasts
		p.far.rows(m, &c)
		p.far.weigh(&c, p.fit.residualsOf(c.rows))
		return c
	}
	from, to := p.in.first[m], p.in.first[m+1]
	return moldCasts{p.in.rows[from:to], p.in.slipOf[from:to], p.in.counts[from:to], p.weights.reading[from:to], p.weights.robust[from:to]}
}

// residualsOf are those of the casts of one mold on the log scale, its own
// effects taken out.
func (f fit) residualsOf(rows []row) []float64 {
	if len(rows) == 0 {
		return nil
	}
	res := make([]float64, len(rows))
	b := f.mode(rows[0].mold)
	byBeta, byB := make([]float64, len(f.model.Beta)), make([]float64, len(b))
	for i, r := range rows {
		res[i] = r.logWall - f.law.logWall(f.design, r, f.model.Beta, b, byBeta, byB)
	}
	return res
}
