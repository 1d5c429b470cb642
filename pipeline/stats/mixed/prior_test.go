package mixed

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A prior is precision added to the cross-products: with one fixed effect, no
// random ones and a prior of mean m and standard deviation σ/k, the posterior
// mean is (Σy + k²m)/(n + k²) and its variance σ²/(n + k²).
func TestAPriorAddsPrecisionAndNoRow(t *testing.T) {
	y := []float64{1, 2, 4, 3, 6}
	const k, m = 1.5, 10.0
	s := NewSums(1, 0)
	for _, v := range y {
		s.Add(0, []float64{1}, nil, v, 1)
	}
	s.AddPrior(1, []float64{k}, k*m)
	fit, err := Fit(s, REML)
	require.NoError(t, err)
	require.Equal(t, 5, fit.N)
	want := (16 + k*k*m) / (5 + k*k)
	require.InEpsilon(t, want, fit.Beta[0], 1e-12)
	rss := k * k * (m - want) * (m - want)
	for _, v := range y {
		rss += (v - want) * (v - want)
	}
	require.InEpsilon(t, rss/4, fit.Sigma*fit.Sigma, 1e-12, "n − 1 degrees of freedom")
	require.InEpsilon(t, fit.Sigma*fit.Sigma/(5+k*k), fit.BetaCov()[0][0], 1e-12)
}

// A prior that believes next to nothing changes next to nothing.
func TestAVaguePriorChangesNothing(t *testing.T) {
	build := func(prior bool) *Model {
		s := NewSums(2, 1)
		for g := range 6 {
			for i := range 5 {
				x := float64(i)
				s.Add(g, []float64{1, x}, []float64{1}, float64((g*7+i*3)%5)+x, 1)
			}
		}
		if prior {
			s.AddPrior(6, []float64{0, 1e-6}, 5e-6)
		}
		m, err := Fit(s, REML)
		require.NoError(t, err)
		return m
	}
	a, b := build(false), build(true)
	require.InEpsilon(t, a.Sigma, b.Sigma, 1e-6)
	require.InEpsilon(t, a.Beta[1], b.Beta[1], 1e-6)
	require.InEpsilon(t, a.Deviance, b.Deviance, 1e-6)
	require.Equal(t, a.ResidualDF, b.ResidualDF)
}
