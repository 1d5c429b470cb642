package lifetime

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Fit is a Weibull law estimated from units and, where given, a prior.
type Fit struct {
	Weibull // the estimate: maximum likelihood, or with a prior the posterior mode

	// CovLog is the covariance of (log Shape, log Scale): the inverse of the
	// observed information at the estimate, the prior's included.
	CovLog [2][2]float64

	ShapeSE, ScaleSE float64 // on the natural scales, by the delta method

	LogLik          float64 // log likelihood of the units at the estimate, without the prior
	Ended, Censored int     // units

	// PriorWeight, in [0,1], is the share of what is known about log Scale
	// that the prior brought: its precision over the posterior precision, both
	// with the shape unknown. 0 without a prior on Scale, 1 without units.
	PriorWeight float64

	// PoolWeight, in [0,1], is the share that other groups of units brought, as
	// [FitPooled] weighs them; else 0. What the two leave to 1 is the units' own.
	PoolWeight float64

	posterior posterior
}

// FitWeibull estimates shape and scale from units that may be right censored
// and left truncated.
//
// With priors on shape and scale it works for any units, even none, as long as
// the prior is not so vague (an SDLog above 3, say) that the law runs off the
// scale of floating point numbers. Otherwise it returns an error that wraps [ErrNoMaximum] where the likelihood has no
// maximum: no unit has ended, or all that ended did so at one age that no
// unit passed. Units that cannot be (see [Unit]) are an error as well.
func FitWeibull(units []Unit, prior Prior) (Fit, error) {
	if err := checkAll(units); err != nil {
		return Fit{}, err
	}
	if err := prior.Shape.check("shape"); err != nil {
		return Fit{}, err
	}
	if err := prior.Scale.check("scale"); err != nil {
		return Fit{}, err
	}
	p := newPosterior(units, prior)
	a, b, err := p.maximum()
	if err != nil {
		return Fit{}, err
	}
	cov, ok := p.slopes(a, b).covariance()
	law := Weibull{Shape: math.Exp(a), Scale: math.Exp(b)}
	if !ok || !law.Valid() {
		return Fit{}, fmt.Errorf("%w: the maximum is too flat or too far off to be told; give a prior, or a narrower one, for shape and scale", ErrNoMaximum)
	}
	fit := Fit{
		Weibull:   law,
		CovLog:    cov,
		ShapeSE:   law.Shape * math.Sqrt(cov[0][0]),
		ScaleSE:   law.Scale * math.Sqrt(cov[1][1]),
		Ended:     int(p.ended),
		Censored:  len(units) - int(p.ended),
		posterior: p,
	}
	if len(units) > 0 {
		fit.LogLik = p.logLik(a, b)
	}
	fit.PriorWeight = min(1, p.scale.precision*cov[1][1])
	return fit, nil
}

// Draw draws a law from the approximate posterior: (log Shape, log Scale)
// normal around the estimate with covariance CovLog. Without a prior this is
// the large-sample distribution of the estimate. It takes two normal draws.
func (f Fit) Draw(rng *rand.Rand) Weibull {
	z1, z2 := rng.NormFloat64(), rng.NormFloat64()
	sdA := math.Sqrt(f.CovLog[0][0])
	slope := f.CovLog[1][0] / sdA
	rest := math.Sqrt(max(0, f.CovLog[1][1]-slope*slope))
	return Weibull{
		Shape: expInRange(math.Log(f.Shape) + sdA*z1),
		Scale: expInRange(math.Log(f.Scale) + slope*z1 + rest*z2),
	}
}

// expInRange keeps a wild draw from a vague posterior a valid parameter.
func expInRange(x float64) float64 { return math.Exp(min(max(x, -700), 700)) }
