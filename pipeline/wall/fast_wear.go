package wall

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// ChanceFastWear is the posterior chance that mold m wears more than factor
// times as fast as its kind: in the coefficient of age, of log wall or of the
// mold's resistance as the law has it. It is absent where molds have no wear of
// their own in the model or the kind does not wear.
func (p *Posterior) ChanceFastWear(m int, factor float64) float64 {
	mold := p.in.log.Molds[m]
	r := p.at(m, orUnknown(mold.Form), mold.Kind, 1, 1)
	if !p.fit.design.slopes || !p.knows(r.form) {
		return tables.Absent()
	}
	x := make([]float64, len(p.fit.design.columns))
	kind := 0.0
	for j, c := range p.fit.design.columns {
		if c.ages {
			x[j] = c.of(r)
			kind += x[j] * p.fit.model.Beta[j]
		}
	}
	sign := 1.0 // resistance grows with wear
	if linear(p.fit.law) {
		sign = -1 // and log wall falls
	}
	if sign*kind <= 0 {
		return tables.Absent()
	}
	// With β the kind's coefficient and b the mold's own, fast means
	// sign·(β + b − factor·β) > 0.
	for j := range x {
		x[j] *= 1 - factor
	}
	mean, variance := p.fit.model.Predict(m, x, []float64{0, 1})
	return distuv.UnitNormal.CDF(sign * mean / math.Sqrt(variance))
}
