package wall

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// StepError is one cast's wall against what the mold's casts before it
// predicted.
type StepError struct {
	Age  int     // casts before this one
	Slip string  // batch, as logged or as the form's nearest cast's; "" where unknown
	Z    float64 // error of log wall in standard deviations of the prediction; negative: thinner
}

// OneStepErrors predicts each measured cast of mold m from the mold's earlier
// casts, given the fixed effects and variance components, and returns the
// standardised errors in order of casts. They are independent standard normal
// where the model holds: the recursive (Kalman) form of the mixed model, with
// state b ~ N(0, G), extended by the law's tangent where it is curved. Casts that the robust fit trusts little teach it little.
func (p *Posterior) OneStepErrors(m int) []StepError {
	model := p.fit.model
	q := p.fit.design.randoms()
	b := make([]float64, q)
	cov := model.G()
	var out []StepError
	casts := p.casts(m)
	for i, r := range casts.rows {
		predicted, _, z := p.fit.at(r, model.Beta, b)
		e := r.logWall - predicted
		pz := make([]float64, q)
		for j := range q {
			pz[j] = dot(cov[j], z)
		}
		known := dot(z, pz)
		sigma2 := model.Sigma * model.Sigma / casts.reading[i]
		out = append(out, StepError{Age: int(r.age), Slip: casts.slipOf[i], Z: e / math.Sqrt(known+sigma2)})
		gain := 1 / (known + sigma2/casts.robust[i])
		for j := range q {
			b[j] += pz[j] * e * gain
			for k := range q {
				cov[j][k] -= pz[j] * pz[k] * gain
			}
		}
	}
	return out
}

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
