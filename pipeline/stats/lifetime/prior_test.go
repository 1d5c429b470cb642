package lifetime

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var weak = Prior{Shape: LogNormal{Median: 2, SDLog: 0.4}, Scale: LogNormal{Median: 35, SDLog: 0.6}}

func TestNoUnitsGiveBackThePrior(t *testing.T) {
	fit, err := FitWeibull(nil, weak)
	require.NoError(t, err)
	close(t, 2, fit.Shape, 1e-8, "shape")
	close(t, 35, fit.Scale, 1e-8, "scale")
	close(t, 0.16, fit.CovLog[0][0], 1e-12, "variance")
	close(t, 0.36, fit.CovLog[1][1], 1e-12, "variance")
	assert.Zero(t, fit.CovLog[0][1])
	assert.Zero(t, fit.LogLik)
	assert.Equal(t, 1.0, fit.PriorWeight)
	assert.Zero(t, fit.Ended+fit.Censored)

	z := 1.959963984540054
	shape, scale := fit.ShapeInterval(0.95), fit.ScaleInterval(0.95)
	close(t, 2*math.Exp(-0.4*z), shape.Lower, 1e-7, "shape")
	close(t, 2*math.Exp(0.4*z), shape.Upper, 1e-7, "shape")
	close(t, 35*math.Exp(-0.6*z), scale.Lower, 1e-7, "scale")
	close(t, 35*math.Exp(0.6*z), scale.Upper, 1e-7, "scale")
}

// TestNoneEnded: units that live on lengthen the life expected, and say little
// about the shape.
func TestNoneEnded(t *testing.T) {
	before := weak.Scale.Median
	for _, age := range []float64{1, 20, 40, 80, 400} {
		fit, err := FitWeibull([]Unit{{Exit: age}, {Exit: age}, {Entry: age / 2, Exit: age}}, weak)
		require.NoError(t, err)
		assert.Greater(t, fit.Scale, before, "age %g", age)
		assert.Greater(t, fit.PriorWeight, 0.0)
		assert.LessOrEqual(t, fit.PriorWeight, 1.0)
		assert.Zero(t, fit.Ended)
		before = fit.Scale
	}
}

func TestOneLifeWithPrior(t *testing.T) {
	fit, err := FitWeibull([]Unit{{Exit: 24, Ended: true}}, weak)
	require.NoError(t, err)
	assert.Greater(t, fit.Scale, 24.0)
	assert.Less(t, fit.Scale, 35.0)

	// Twenty lives of the same length pull the shape far off any prior.
	var alike []Unit
	for range 20 {
		alike = append(alike, Unit{Exit: 50, Ended: true})
	}
	fit, err = FitWeibull(alike, Prior{Shape: weak.Shape})
	require.NoError(t, err)
	assert.Greater(t, fit.Shape, 10.0)
	close(t, 50, fit.Scale, 0.02, "scale")
	fit, err = FitWeibull(alike, Prior{Shape: LogNormal{Median: 2, SDLog: 1.5}})
	require.NoError(t, err)
	assert.Greater(t, fit.Shape, 1e4)
}

// TestDataOutweighThePrior: the weight of the prior falls from 1 to nearly
// nothing, and the fit goes to the one without it.
func TestDataOutweighThePrior(t *testing.T) {
	far := Prior{Shape: LogNormal{1, 0.5}, Scale: LogNormal{200, 0.5}}
	var units []Unit
	weight, distance := 1.0, math.Log(200/81.874559)
	for range 4 {
		for range 1 + 4*len(units)/23 {
			units = append(units, bearings(t)...)
		}
		fit, err := FitWeibull(units, far)
		require.NoError(t, err)
		plain, err := FitWeibull(units, Prior{})
		require.NoError(t, err)
		assert.Less(t, fit.PriorWeight, weight)
		off := math.Log(fit.Scale / plain.Scale)
		assert.Less(t, off, distance)
		assert.Positive(t, off)
		assert.Less(t, fit.LogLik, plain.LogLik)
		weight, distance = fit.PriorWeight, off
	}
	assert.Less(t, weight, 0.01)
	assert.Less(t, distance, 0.01)

	vague := Prior{Shape: LogNormal{5, 1e4}, Scale: LogNormal{1, 1e4}}
	fit, err := FitWeibull(bearings(t), vague)
	require.NoError(t, err)
	close(t, 2.10184686, fit.Shape, 1e-7, "shape")
	close(t, 81.874559, fit.Scale, 1e-7, "scale")
}

// TestModeIsAMode: no law nearby or far has a higher posterior.
func TestModeIsAMode(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	law := Weibull{Shape: 2, Scale: 45}
	for _, n := range []int{0, 1, 3, 8, 40} {
		fit, err := FitWeibull(staggered(rng, law, n), weak)
		require.NoError(t, err)
		top := fit.posterior.at(math.Log(fit.Shape), math.Log(fit.Scale))
		for a := -3.0; a < 5; a += 0.05 {
			for b := 0.0; b < 8; b += 0.05 {
				require.LessOrEqual(t, fit.posterior.at(a, b), top+1e-12)
			}
		}
	}
}

// TestDrawsAgainstTheExactPosterior says how good the normal approximation is:
// the mean chance to live past 40 under draws against that under the exact
// posterior on a grid.
func TestDrawsAgainstTheExactPosterior(t *testing.T) {
	units := []Unit{{Exit: 24, Ended: true}, {Exit: 38, Ended: true}, {Exit: 51, Ended: true}, {Exit: 33}, {Entry: 20, Exit: 44}}
	fit, err := FitWeibull(units, weak)
	require.NoError(t, err)

	top := fit.posterior.at(math.Log(fit.Shape), math.Log(fit.Scale))
	var mass, exact float64
	for a := -3.0; a < 4; a += 0.02 {
		for b := 1.0; b < 7; b += 0.02 {
			density := math.Exp(fit.posterior.at(a, b) - top)
			mass += density
			exact += density * Weibull{math.Exp(a), math.Exp(b)}.Survival(40)
		}
	}
	exact /= mass

	rng := rand.New(rand.NewPCG(1, 2))
	const draws = 20_000
	mean, covariance := 0.0, 0.0
	for range draws {
		w := fit.Draw(rng)
		require.True(t, w.Valid())
		mean += w.Survival(40) / draws
		covariance += math.Log(w.Shape/fit.Shape) * math.Log(w.Scale/fit.Scale) / draws
	}
	assert.InDelta(t, exact, mean, 0.03)
	scatter := math.Sqrt(fit.CovLog[0][0] * fit.CovLog[1][1])
	assert.InDelta(t, fit.CovLog[0][1], covariance, 0.04*scatter)
}

func TestBetween(t *testing.T) {
	belief := Between(20, 50, 0.9)
	close(t, math.Sqrt(1000), belief.Median, 1e-12, "median")
	close(t, 50, belief.Median*math.Exp(1.6448536269514722*belief.SDLog), 1e-12, "upper end")
	assert.Panics(t, func() { Between(50, 20, 0.9) })
	assert.Panics(t, func() { Between(20, 50, 1) })
}

func TestUnusablePriors(t *testing.T) {
	for _, bad := range []LogNormal{{2, -1}, {0, 1}, {-3, 1}, {math.NaN(), 1}, {2, math.NaN()}, {2, math.Inf(1)}, {math.Inf(1), 1}} {
		_, err := FitWeibull(nil, Prior{Shape: bad, Scale: weak.Scale})
		require.ErrorContains(t, err, "prior for the shape", bad)
		_, err = FitWeibull(nil, Prior{Shape: weak.Shape, Scale: bad})
		require.ErrorContains(t, err, "prior for the scale", bad)
	}
}
