package life

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/stats/lifetime"
)

const (
	curvePoints = 60
	curveLaws   = 24   // by each of the two parameters
	curveEnds   = 0.98 // share ended at which the drawn curve stops
)

// laws are spread evenly over the posterior of the law of lives: at the middles of so
// many equal shares of each of two normal numbers.
func (k kindFit) laws() []lifetime.Weibull {
	var z [curveLaws]float64
	for i := range z {
		z[i] = distuv.UnitNormal.Quantile((float64(i) + 0.5) / curveLaws)
	}
	cov := k.fit.CovLog
	sd := math.Sqrt(cov[0][0])
	slope := cov[0][1] / sd
	rest := math.Sqrt(max(0, cov[1][1]-slope*slope))
	var out []lifetime.Weibull
	for _, a := range z {
		for _, b := range z {
			out = append(out, lifetime.Weibull{Shape: k.fit.Shape * math.Exp(sd*a), Scale: k.fit.Scale * math.Exp(slope*a+rest*b)})
		}
	}
	return out
}

// curve is the fitted law of lives with an 80 % band from its posterior, beside
// the product-limit steps.
func (k kindFit) curve() Curve {
	c := Curve{Kind: k.kind}
	last := k.fit.Quantile(curveEnds)
	for _, u := range k.units {
		last = max(last, u.Exit)
	}
	laws := k.laws()
	logs := make([]float64, len(laws)) // of scales
	for j, law := range laws {
		logs[j] = math.Log(law.Scale)
	}
	at := make([]float64, len(laws)) // log of the hazard: it falls as survival rises
	for i := range curvePoints {
		age := last * float64(i) / (curvePoints - 1)
		logAge := math.Log(age)
		for j, law := range laws {
			at[j] = law.Shape * (logAge - logs[j])
		}
		slices.Sort(at)
		c.AgeCasts = append(c.AgeCasts, age)
		c.Survival = append(c.Survival, k.fit.Survival(age))
		c.Lower80 = append(c.Lower80, math.Exp(-math.Exp(at[len(at)-1-len(at)/10])))
		c.Upper80 = append(c.Upper80, math.Exp(-math.Exp(at[len(at)-1-len(at)*9/10])))
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
