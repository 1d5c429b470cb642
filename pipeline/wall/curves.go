package wall

import (
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

const curvePoints = 60

// curves are wall against dwell for each form, at the middle age of its casts.
func curves(p *Posterior) []Curve {
	var out []Curve
	for _, form := range p.fit.design.forms {
		c := Curve{Form: form, AgeCasts: p.middleAge(form)}
		p.bringCasts(&c)
		c.Casts = len(c.CastDwellMin)
		c.TargetMM = tables.Absent()
		if t, ok := p.in.targets[history.Fold(form)]; ok {
			c.TargetMM = t
		}
		low, high := slices.Min(c.CastDwellMin), slices.Max(c.CastDwellMin)
		for i := range curvePoints {
			t := low + (high-low)*float64(i)/(curvePoints-1)
			mean, variance := p.logWall(p.at(-1, form, p.kindOf[form], t, float64(c.AgeCasts)))
			half := p.quantile(0.95) * math.Sqrt(variance+p.Sigma()*p.Sigma())
			c.DwellMin = append(c.DwellMin, t)
			c.WallMM = append(c.WallMM, math.Exp(mean))
			c.Lower90 = append(c.Lower90, math.Exp(mean-half))
			c.Upper90 = append(c.Upper90, math.Exp(mean+half))
		}
		out = append(out, c)
	}
	return out
}

func (p *Posterior) middleAge(form string) int {
	var ages []float64
	for _, r := range p.in.rows {
		if r.form == form {
			ages = append(ages, r.age)
		}
	}
	return int(median(ages))
}

// bringCasts fills in the casts of the curve's form, each wall brought to the
// curve's age, wetness and slip by the fixed effects, so that points and curve
// are of one kind: what is left between them is the mold and the single cast.
func (p *Posterior) bringCasts(c *Curve) {
	none, byB := make([]float64, p.fit.design.randoms()), make([]float64, p.fit.design.randoms())
	sorts := map[string]sort{} // by kind
	for i := range p.in.rows {
		r := &p.in.rows[i]
		if r.form != c.Form {
			continue
		}
		s, met := sorts[r.kind]
		if !met {
			s = p.fit.design.sortOf(c.Form, r.kind)
			sorts[r.kind] = s
		}
		at := p.at(-1, c.Form, r.kind, 1, float64(c.AgeCasts))
		at.logT = r.logT
		beta, x := s.picked(p.fit.model.Beta, nil), make([]float64, len(s.columns))
		there := logWallBy(p.fit.law, &s.design, &at, beta, none, x, byB)
		here := logWallBy(p.fit.law, &s.design, r, beta, none, x, byB)
		shift := there - here
		c.CastDwellMin = append(c.CastDwellMin, math.Exp(r.logT))
		c.CastWallMM = append(c.CastWallMM, math.Exp(r.logWall+shift))
	}
}

// paths are each measured mold's casting rate (of a large log those of molds in
// use first) against its age, as measured and
// as fitted at its usual dwell.
func paths(p *Posterior, set Settings) []Path {
	var out []Path
	molds := p.in.log.Molds
	listed := told(p.in.log, set)
	slices.SortStableFunc(listed, func(a, b int) int { return -compareBool(molds[a].InUse(), molds[b].InUse()) })
	listed = listed[:min(len(listed), set.Paths)]
	slices.Sort(listed)
	for _, m := range listed {
		mold := molds[m]
		rows := p.casts(m).rows
		if len(rows) == 0 {
			continue
		}
		path := Path{Mold: mold.Mold, Form: mold.Form, InUse: mold.InUse()}
		for _, r := range rows {
			path.AgeCasts = append(path.AgeCasts, r.age)
			path.Rate = append(path.Rate, math.Exp(2*r.logWall-r.logT))
		}
		dwell := usualDwell(p.in.log, m, p.usualDwells, set)
		fitPath(&path, p, m, mold, dwell)
		out = append(out, path)
	}
	return out
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

func fitPath(path *Path, p *Posterior, m int, mold history.Mold, dwell float64) {
	from, to := path.AgeCasts[0], float64(mold.Age)
	t95 := p.quantile(0.975)
	of := p.predictor(m)
	for i := range curvePoints {
		age := from + (to-from)*float64(i)/(curvePoints-1)
		r := p.at(m, orUnknown(mold.Form), mold.Kind, dwell, age)
		mean, variance := of.logWall(&r)
		half := t95 * math.Sqrt(variance)
		path.FitAge = append(path.FitAge, age)
		path.FitRate = append(path.FitRate, math.Exp(2*mean)/dwell)
		path.FitLow95 = append(path.FitLow95, math.Exp(2*(mean-half))/dwell)
		path.FitUp95 = append(path.FitUp95, math.Exp(2*(mean+half))/dwell)
	}
}
