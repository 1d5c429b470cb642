package wander

import "math"

// solution is the means and the criterion given the spreads.
type solution struct {
	criterion float64   // −2 log likelihood, ML or REML, in the caller's units
	penalty   float64   // −2 log of the beliefs in the means at their estimate (ML)
	beta      []float64 // coefficients of the means less the centre, natural units
	info      factor    // of their information, the inverse of their covariance
}

// sums are what the readings say of the means of one row of the designs: K and h
// of the normal equations Σ M'KM β = Σ M'h.
type sums struct {
	k [3]float64
	h [2]float64
}

// gather costs a step for each unit, and a pass over the readings where the ratio
// of wandering to noise is not one of the last few. logs is Σ log|V|, squares
// Σ y'V⁻¹y, with V the covariance of a unit's readings. The sums are overwritten by
// the next call.
func (p *problem) gather(s *shape) (per []sums, logs, squares float64) {
	if p.sums == nil {
		p.sums = make([]sums, len(p.designs))
	}
	per = p.sums
	clear(per)
	all, scale := p.filtered(s), s.scale()
	for i := range p.units {
		u := &p.units[i]
		if len(u.age) == 0 {
			continue
		}
		w := scale.of(&all.units[i], len(u.age))
		c := w.core(&s.g)
		logs += w.logDet + c.logDet
		squares += w.left2 + c.v[0]*c.v[0] + c.v[1]*c.v[1]
		t := &per[u.design]
		t.k[0] += c.e[0][0]*c.e[0][0] + c.e[1][0]*c.e[1][0]
		t.k[1] += c.e[0][0]*c.e[0][1] + c.e[1][0]*c.e[1][1]
		t.k[2] += c.e[0][1]*c.e[0][1] + c.e[1][1]*c.e[1][1]
		t.h[0] += c.e[0][0]*c.v[0] + c.e[1][0]*c.v[1]
		t.h[1] += c.e[0][1]*c.v[0] + c.e[1][1]*c.v[1]
	}
	return per, logs, squares
}

// solve finds the means and the criterion; false where they are not defined.
func (p *problem) solve(s *shape, criterion Criterion) (solution, bool) {
	k := p.levels + p.drifts
	per, logs, squares := p.gather(s)
	logs += 2 * float64(p.readings) * math.Log(p.valueScale)
	store := make([]float64, k*k+2*k)
	info, score := store[:k*k], store[k*k+k:]
	out := solution{beta: store[k*k : k*k+k]}
	free := 0 // coefficients without a belief
	for d := range per {
		addDesign(info, score, &p.designs[d], per[d].k, per[d].h)
	}
	for j, b := range p.means {
		if b.SD == 0 {
			free++
			continue
		}
		precision := 1 / (b.SD * b.SD)
		info[j*k+j] += precision
		score[j] += precision * b.Mean
		squares += precision * b.Mean * b.Mean
		out.penalty += 2 * math.Log(b.SD)
	}
	if k > 0 {
		var ok bool
		if out.info, ok = factored(info, k); !ok {
			return out, false
		}
		copy(out.beta, score)
		out.info.solve(out.beta)
		for j, b := range out.beta {
			squares -= b * score[j]
		}
	}
	out.criterion = logs + max(0, squares) + p.constants(criterion, free)
	if criterion == REML && k > 0 {
		out.criterion += out.info.logDet() + out.penalty
		out.penalty = 0
	}
	return out, !math.IsNaN(out.criterion) && !math.IsInf(out.criterion, 0)
}

// constants are the terms that do not depend on the spreads. For REML they bring
// the information of the means back to the caller's units.
func (p *problem) constants(criterion Criterion, free int) float64 {
	sum := float64(p.readings) * math.Log(2*math.Pi)
	if criterion == ML {
		return sum
	}
	sum -= float64(free) * math.Log(2*math.Pi)
	for j, b := range p.means {
		if b.SD != 0 {
			continue
		}
		size := p.valueScale
		if j >= p.levels {
			size /= p.ageScale
		}
		sum -= 2 * math.Log(size)
	}
	return sum
}
