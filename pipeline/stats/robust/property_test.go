package robust_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/stats/robust"
)

// lines are 30 groups of 12 rows on lines of their own, y a logarithm, and
// noise drawn by the caller.
func lines(r *rand.Rand, noise func() float64) *data {
	d := &data{}
	for g := range 30 {
		b0, b1 := 0.1*r.NormFloat64(), 0.01*r.NormFloat64()
		for i := range 12 {
			x := []float64{1, float64(i)}
			d.add(x, x, 2+b0+(b1-0.02)*x[1]+noise(), g)
		}
	}
	return d
}

// fits are the ordinary fit and the reweighted one.
func fits(t *testing.T, d *data) (plain, weighted *mixed.Model, out robust.Outcome) {
	t.Helper()
	ones := make([]float64, len(d.y))
	for i := range ones {
		ones[i] = 1
	}
	_, err := d.fitter(&plain)(ones)
	require.NoError(t, err)
	out, err = robust.Reweight(len(d.y), robust.Settings{}, d.fitter(&weighted))
	require.NoError(t, err)
	return plain, weighted, out
}

// moved is the largest change of a fixed effect, in standard errors of the
// first model.
func moved(a, b *mixed.Model) (most float64) {
	for j, se := range a.BetaSE() {
		most = max(most, math.Abs(a.Beta[j]-b.Beta[j])/se)
	}
	return most
}

// One row in twenty is ten times too large. The fixed effects then stay within
// half a standard error of what the right rows give, the residual deviation
// within 10 %, the deviations between groups within 15 %; all wrong rows and
// few others weigh next to nothing. Without weights the same rows move the
// fixed effects by several standard errors and make the residual deviation
// many times too large.
func TestGrossErrorsHardlyMoveAMixedModel(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 77))
		d := lines(r, func() float64 { return 0.05 * r.NormFloat64() })
		clean, _, _ := fits(t, d)
		wrong := r.Perm(len(d.y))[:len(d.y)/20]
		for _, i := range wrong {
			d.y[i] += math.Log(10)
		}
		plain, weighted, out := fits(t, d)
		require.True(t, out.Settled, "seed %d", seed)
		require.Less(t, moved(clean, weighted), 0.5, "seed %d", seed)
		require.InEpsilon(t, clean.Sigma, weighted.Sigma, 0.10, "seed %d", seed)
		for k := range 2 {
			require.InEpsilon(t, clean.SD(k), weighted.SD(k), 0.15, "seed %d", seed)
		}
		low := 0
		for _, w := range out.Weights {
			if w < 1e-3 {
				low++
			}
		}
		for _, i := range wrong {
			require.Less(t, out.Weights[i], 1e-3, "seed %d", seed)
		}
		require.Equal(t, len(wrong), low, "seed %d", seed)
		require.Greater(t, moved(clean, plain), 3.0, "seed %d", seed)
		require.Greater(t, plain.Sigma, 5*clean.Sigma, "seed %d", seed)
	}
}

// Where no row is three scales off, the fit is the ordinary one, to the bit.
func TestRowsWithoutTailsAreLeftAlone(t *testing.T) {
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 78))
		plain, weighted, out := fits(t, lines(r, func() float64 { return 0.1 * (r.Float64() - 0.5) }))
		require.Equal(t, 1, out.Rounds)
		require.Equal(t, plain.Beta, weighted.Beta)
		require.Equal(t, plain.Theta, weighted.Theta)
		require.Equal(t, plain.Sigma, weighted.Sigma)
	}
}

// Normal noise has a few rows past three scales (of 360 some two or three,
// as the fitted groups make residuals smaller than noise). Clipping them moves
// the fixed effects by less than 0.4 standard errors and takes at most 6 % of
// the residual deviation: the price of the protection.
func TestNormalRowsAreNearlyLeftAlone(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 79))
		plain, weighted, _ := fits(t, lines(r, func() float64 { return 0.05 * r.NormFloat64() }))
		require.Less(t, moved(plain, weighted), 0.4, "seed %d", seed)
		require.InEpsilon(t, plain.Sigma, weighted.Sigma, 0.06, "seed %d", seed)
	}
}

// The same rows give the same bits, and rows in another order the same weights.
func TestOrderOfRows(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 80))
	d := lines(r, func() float64 { return 0.05 * r.NormFloat64() })
	for i := 3; i < len(d.y); i += 40 {
		d.y[i] += math.Log(10)
	}
	_, a, first := fits(t, d)
	_, b, second := fits(t, d)
	require.Equal(t, first, second)
	require.Equal(t, a.Beta, b.Beta)

	order := r.Perm(len(d.y))
	mixedUp := &data{}
	for _, i := range order {
		mixedUp.add(d.x[i], d.z[i], d.y[i], d.group[i])
	}
	_, _, third := fits(t, mixedUp)
	for at, i := range order {
		require.InDelta(t, first.Weights[i], third.Weights[at], 1e-6)
	}
}
