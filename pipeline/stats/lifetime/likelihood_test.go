package lifetime

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSlopes compares the derivatives with differences of the value.
func TestSlopes(t *testing.T) {
	units := append(channing(t, "Male"), Unit{Entry: 900, Exit: 900.001}, Unit{Exit: 1000, Ended: true})
	p := newPosterior(units, Prior{Shape: LogNormal{4, 0.7}, Scale: LogNormal{700, 0.3}})
	const step = 1e-4
	for _, at := range [][2]float64{{0.2, 6.9}, {1.8, 6.9}, {2.2, 6.7}} {
		a, b := at[0], at[1]
		s := p.slopes(a, b)
		up, down := p.slopes(a+step, b), p.slopes(a-step, b)
		assert.InEpsilon(t, (p.at(a+step, b)-p.at(a-step, b))/(2*step), s.a, 1e-5)
		assert.InEpsilon(t, (p.at(a, b+step)-p.at(a, b-step))/(2*step), s.b, 1e-5)
		assert.InEpsilon(t, -(up.a-down.a)/(2*step), s.aa, 1e-5)
		assert.InEpsilon(t, -(up.b-down.b)/(2*step), s.ab, 1e-5)
		assert.InEpsilon(t, -(p.slopes(a, b+step).b-p.slopes(a, b-step).b)/(2*step), s.bb, 1e-5)
	}
}

// TestAnyUnitsWithPrior throws lives over hundreds of powers of ten, some seen
// for a blink late in life, at priors wide and narrow: there is always a fit,
// and it is a stationary point.
func TestAnyUnitsWithPrior(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	for range 1500 {
		base := math.Pow(10, 12*rng.Float64()-6)
		spread := math.Pow(10, 4*rng.Float64()-2)
		var units []Unit
		for range rng.IntN(12) {
			u := Unit{Exit: base * math.Exp(spread*rng.NormFloat64()), Ended: rng.IntN(2) == 0}
			if rng.IntN(3) == 0 {
				u.Entry = base * math.Exp(spread*rng.NormFloat64()/2)
				u.Exit += u.Entry
			}
			if u.check() == nil {
				units = append(units, u)
			}
		}
		sd := func() float64 { return math.Pow(10, 2*rng.Float64()-1.7) }
		prior := Prior{
			Shape: LogNormal{Median: math.Exp(rng.NormFloat64()), SDLog: sd()},
			Scale: LogNormal{Median: base * math.Exp(3*rng.NormFloat64()), SDLog: sd()},
		}
		fit, err := FitWeibull(units, prior)
		require.NoError(t, err, "%v %v", units, prior)
		s := fit.posterior.slopes(math.Log(fit.Shape), math.Log(fit.Scale))
		require.InDelta(t, 0, s.a*math.Sqrt(fit.CovLog[0][0]), 1e-5, "%v %v", units, prior)
		require.InDelta(t, 0, s.b*math.Sqrt(fit.CovLog[1][1]), 1e-5, "%v %v", units, prior)
		require.True(t, fit.PriorWeight > 0 && fit.PriorWeight <= 1)
	}
}
