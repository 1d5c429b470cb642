package logistic

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"moldwright/pipeline/stats/importance"
)

// point is one place of the posterior of β and s, with the law of each unit's
// effect there.
type point struct {
	spread  float64
	beta    []float64 // per unit of the covariates
	weight  float64
	upTo    float64 // cumulative weight
	effects []effect
}

// effect is the law of a unit's standardised effect given β and s: with a
// standard normal z (Cornish & Fisher 1938, first terms about a mode)
//
//	u = mode + sd (z + skew/2 + skew (z² − 1)/6)
type effect struct {
	mode, sd, skew float64
}

func (e effect) at(z float64) float64 {
	return e.mode + e.sd*(z+e.skew/2+e.skew*(z*z-1)/6)
}

const (
	defaultPoints = 192
	tails         = 6.0 // degrees of freedom of the t that points are drawn from
)

// points spreads β and log s over their posterior by importance sampling, units'
// effects integrated out by Laplace. Without a belief in s its law is flat before
// the trials are seen.
func (p *problem) points(v []float64, peaks []peak) []point {
	n := p.columns + 1
	density := func(x []float64) (float64, []effect) {
		w := slices.Clone(x)
		w[n-1] = math.Exp(x[n-1])
		log := x[n-1] - p.target(w, nil, peaks) // with the Jacobian of log s
		effects := make([]effect, len(peaks))
		for i := range peaks {
			effects[i] = effectAt(&peaks[i], w[n-1])
		}
		return log, effects
	}
	centre := slices.Clone(v)
	centre[n-1] = math.Log(max(v[n-1], 0.15))
	return p.gather(importance.Spread(density, centre, p.width(centre, peaks), p.count, tails))
}

// width is a root of the covariance of β, by the Hessian, and of log s, by its
// standard error, at most 1 and at least 0.3.
func (p *problem) width(centre []float64, peaks []peak) *mat.Dense {
	n := len(centre)
	v := slices.Clone(centre)
	v[n-1] = math.Exp(centre[n-1])
	cov := mat.NewSymDense(n, nil)
	for j := range n {
		cov.SetSym(j, j, 1)
	}
	var chol mat.Cholesky
	if n > 1 && chol.Factorize(p.hessian(v, n-1, peaks)) {
		inverse := mat.NewSymDense(n-1, nil)
		if chol.InverseTo(inverse) == nil {
			for j := range n - 1 {
				for k := j; k < n-1; k++ {
					cov.SetSym(j, k, inverse.At(j, k))
				}
			}
		}
	}
	second := p.hessian(v, n, peaks).At(n-1, n-1) * v[n-1] * v[n-1]
	cov.SetSym(n-1, n-1, 1/min(max(second, 1), 11))
	return importance.Root(cov, func(v float64) float64 { return math.Sqrt(max(v, 1e-12)) })
}

// least is the weight of a point that is kept.
const least = 1e-5

func (p *problem) gather(places []importance.Place[[]effect]) []point {
	var out []point
	c, sum := p.columns, 0.0
	for _, at := range places {
		if at.Weight < least {
			continue
		}
		pt := point{spread: math.Exp(at.X[c]), weight: at.Weight, beta: make([]float64, c), effects: at.With}
		for j := range c {
			pt.beta[j] = at.X[j] / p.scale[j]
		}
		sum += at.Weight
		out = append(out, pt)
	}
	upTo := 0.0
	for i := range out {
		out[i].weight /= sum
		upTo += out[i].weight
		out[i].upTo = upTo
	}
	return out
}

// Drawn is one draw of coefficients, spread and all units' own log odds from
// their approximate joint posterior.
type Drawn struct {
	Beta    []float64
	Spread  float64
	Effects []float64 // of the units of the fit
	New     float64   // of a unit not seen
}

// Draw costs one normal number for each unit.
func (m *Model) Draw(rng *rand.Rand) Drawn {
	pt := m.pick(rng)
	out := Drawn{Beta: slices.Clone(pt.beta), Spread: pt.spread, Effects: make([]float64, len(pt.effects))}
	for i, e := range pt.effects {
		out.Effects[i] = pt.spread * e.at(rng.NormFloat64())
	}
	out.New = pt.spread * rng.NormFloat64()
	return out
}

// pick draws a point by its weight.
func (m *Model) pick(rng *rand.Rand) *point {
	at := rng.Float64()
	k, _ := slices.BinarySearchFunc(m.points, at, func(p point, at float64) int { return cmp.Compare(p.upTo, at) })
	return &m.points[min(k, len(m.points)-1)]
}

// DrawUnit draws the coefficients and one unit's own log odds from their joint
// posterior, at a cost that does not grow with the units; unit −1 is one not seen.
// The coefficients are the model's: do not change them.
func (m *Model) DrawUnit(unit int, rng *rand.Rand) (beta []float64, own float64) {
	pt := m.pick(rng)
	z := rng.NormFloat64()
	if unit < 0 {
		return pt.beta, pt.spread * z
	}
	return pt.beta, pt.spread * pt.effects[unit].at(z)
}

// Chance is that of an event for a unit at covariates x; unit −1 is one not seen.
func (d Drawn) Chance(unit int, x []float64) float64 {
	z := d.New
	if unit >= 0 {
		z = d.Effects[unit]
	}
	for j, b := range d.Beta {
		z += b * x[j]
	}
	return logistic(z)
}

// Chance is the posterior mean of the chance of an event for a unit at
// covariates x; unit −1 is one not seen. It needs no draws.
func (m *Model) Chance(unit int, x []float64) float64 {
	const reach, steps = 5.0, 20
	sum, total := 0.0, 0.0
	for k := range m.points {
		pt := &m.points[k]
		e := effect{sd: 1}
		if unit >= 0 {
			e = pt.effects[unit]
		}
		eta := 0.0
		for j, b := range pt.beta {
			eta += b * x[j]
		}
		for i := -steps; i <= steps; i++ {
			z := reach * float64(i) / steps
			w := pt.weight * math.Exp(-z*z/2)
			sum += w * logistic(eta+pt.spread*e.at(z))
			total += w
		}
	}
	return sum / total
}
