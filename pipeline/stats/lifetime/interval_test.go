package lifetime

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLimitsLieOnTheProfile holds the definition itself: at each limit the
// profile is z²/2 below the maximum.
func TestLimitsLieOnTheProfile(t *testing.T) {
	for _, units := range [][]Unit{bearings(t), gehan(t, "6-MP"), channing(t, "Male")} {
		fit, err := FitWeibull(units, Prior{})
		require.NoError(t, err)
		shape := fit.ShapeInterval(0.9)
		assert.Less(t, shape.Lower, fit.Shape)
		assert.Greater(t, shape.Upper, fit.Shape)
		for _, limit := range []float64{shape.Lower, shape.Upper} {
			profile, _ := fit.posterior.overScale(math.Log(limit))
			assert.InDelta(t, fit.LogLik-1.6448536269514722*1.6448536269514722/2, profile, 1e-8)
		}
	}
}

// TestSurvivalMirrorsQuantile: at the lower limit of the age by which a share
// has ended, the share alive is at its lower limit too, and likewise above.
func TestSurvivalMirrorsQuantile(t *testing.T) {
	fit, err := FitWeibull(gehan(t, "6-MP"), Prior{})
	require.NoError(t, err)
	for _, p := range []float64{0.1, 0.5, 0.8} {
		ages := fit.QuantileInterval(p, 0.8)
		close(t, 1-p, fit.SurvivalInterval(ages.Lower, 0.8).Lower, 1e-5, "lower age")
		close(t, 1-p, fit.SurvivalInterval(ages.Upper, 0.8).Upper, 1e-5, "upper age")
	}
	assert.Equal(t, Interval{1, 1}, fit.SurvivalInterval(0, 0.8))
	assert.Equal(t, Interval{0, 0}, fit.SurvivalInterval(math.Inf(1), 0.8))
}

// TestLopsidedWhereFewEnded: with two lives among many survivors the upper
// limit of the scale is further away than the lower, and finite or +Inf but
// never NaN.
func TestLopsidedWhereFewEnded(t *testing.T) {
	units := []Unit{{Exit: 11, Ended: true}, {Exit: 19, Ended: true}}
	for range 30 {
		units = append(units, Unit{Exit: 20})
	}
	fit, err := FitWeibull(units, Prior{})
	require.NoError(t, err)
	i := fit.ScaleInterval(0.95)
	assert.Greater(t, i.Upper/fit.Scale, fit.Scale/i.Lower)

	rng := rand.New(rand.NewPCG(3, 3))
	for range 200 {
		few := staggered(rng, Weibull{Shape: 1.3, Scale: 60}, 1+rng.IntN(5))
		fit, err := FitWeibull(few, Prior{})
		if err != nil {
			require.ErrorIs(t, err, ErrNoMaximum)
			continue
		}
		for _, i := range []Interval{fit.ShapeInterval(0.95), fit.ScaleInterval(0.95), fit.QuantileInterval(0.1, 0.95), fit.SurvivalInterval(30, 0.95)} {
			require.False(t, math.IsNaN(i.Lower) || math.IsNaN(i.Upper))
			require.Less(t, i.Lower, i.Upper)
		}
	}
}

func TestWiderLevelsContainNarrower(t *testing.T) {
	fit, err := FitWeibull(bearings(t), Prior{})
	require.NoError(t, err)
	var lower, upper []float64
	for _, level := range []float64{0.2, 0.5, 0.8, 0.95, 0.999} {
		i := fit.QuantileInterval(0.5, level)
		lower, upper = append(lower, -i.Lower), append(upper, i.Upper)
	}
	assert.True(t, slices.IsSorted(lower) && slices.IsSorted(upper))
	assert.Panics(t, func() { fit.ScaleInterval(95) })
	assert.Panics(t, func() { fit.QuantileInterval(0, 0.9) })
}
