package wall

import (
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// longestGuideMin bounds the guide: a dwell of more than a day is no advice.
const longestGuideMin = 24 * 60

// guide says for each mold in use how long to leave the slip in for the target
// wall, now and at coming ages. The interval is that of the dwell which the
// next single cast needs, so it holds the spread from cast to cast as well as
// what is not known about the mold: the dwell is the inverse of the law, and the
// standard error of its log is √(var + σ²) over the elasticity of wall by dwell.
func guide(p *Posterior, set Settings) []tables.DwellGuide {
	var out []tables.DwellGuide
	for i, mold := range p.in.log.Molds {
		form := orUnknown(mold.Form)
		target, ok := p.in.targets[history.Fold(form)]
		if !mold.InUse() || !ok || !p.knows(form) {
			continue
		}
		for step := range set.GuideSteps + 1 {
			age := mold.Age + step*set.GuideStride
			out = append(out, dwellFor(p, p.at(i, form, mold.Kind, 1, float64(age)), target))
			out[len(out)-1].Mold = mold.Mold
		}
	}
	return out
}

func dwellFor(p *Posterior, r row, targetMM float64) tables.DwellGuide {
	g := noDwell(tables.Count(r.age), targetMM)
	course := p.course(r)
	if a, power, b := course.inverse(r.age); power > 0 && !math.IsInf(power, 0) && !math.IsInf(a, 0) {
		g.LawA, g.LawPower, g.LawB = a, power, b
	}
	dwell := course.DwellNeeded(targetMM, r.age)
	if !(dwell > 0 && dwell <= longestGuideMin) {
		return g // a wall that does not grow with dwell gives no dwell
	}
	r.logT = math.Log(dwell)
	_, variance := p.logWall(r)
	spread := p.quantile(0.95) * math.Sqrt(variance+p.Sigma()*p.Sigma())
	g.SpreadLower, g.SpreadUpper = spread, spread
	half := spread / course.elasticity(targetMM, r.age)
	g.DwellMin, g.DwellLower90, g.DwellUpper90 = dwell, dwell*math.Exp(-half), math.Min(longestGuideMin, dwell*math.Exp(half))
	return g
}

// noDwell is a row of the guide whose dwell is not known.
func noDwell(age tables.Count, targetMM float64) tables.DwellGuide {
	none := tables.Absent()
	return tables.DwellGuide{
		AgeCasts: age, TargetWallMM: targetMM, DwellMin: none, DwellLower90: none, DwellUpper90: none,
		LawA: none, LawPower: none, LawB: none, SpreadLower: none, SpreadUpper: none,
	}
}
