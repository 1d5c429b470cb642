package life

import (
	"slices"

	"moldwright/pipeline/stats/lifetime"
)

const (
	curvePoints = 60
	curveDraws  = 400
	curveEnds   = 0.98 // share ended at which the drawn curve stops
)

// curve is the fitted law of lives with an 80 % band from its posterior, beside
// the product-limit steps.
func (k kindFit) curve(seed uint64) Curve {
	c := Curve{Kind: k.kind}
	last := k.fit.Quantile(curveEnds)
	for _, u := range k.units {
		last = max(last, u.Exit)
	}
	rng := generator(seed, "kind "+k.kind)
	laws := make([]lifetime.Weibull, curveDraws)
	for i := range laws {
		laws[i] = k.fit.Draw(rng)
	}
	at := make([]float64, curveDraws)
	for i := range curvePoints {
		age := last * float64(i) / (curvePoints - 1)
		for j, law := range laws {
			at[j] = law.Survival(age)
		}
		slices.Sort(at)
		c.AgeCasts = append(c.AgeCasts, age)
		c.Survival = append(c.Survival, k.fit.Survival(age))
		c.Lower80 = append(c.Lower80, at[curveDraws/10])
		c.Upper80 = append(c.Upper80, at[curveDraws*9/10])
	}
	c.StepAge, c.StepShare = []float64{0}, []float64{1}
	steps, err := lifetime.KaplanMeier(k.units)
	if err != nil {
		return c // no unit: the law is the prior's, and there is nothing to step
	}
	for _, s := range steps {
		c.StepAge = append(c.StepAge, s.Age)
		c.StepShare = append(c.StepShare, s.Survival)
	}
	return c
}
