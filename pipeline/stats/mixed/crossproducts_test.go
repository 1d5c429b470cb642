package mixed

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A fit from cross-products is the fit from the rows, also where columns are
// constant within groups, equal to a column of Z, or absent from a group.
func TestCrossProductsFitAsTheirRowsDo(t *testing.T) {
	const p, q, m = 4, 2, 7
	rng := rand.New(rand.NewPCG(1, 2))
	rows, sums := NewSums(p, q), NewSums(p, q)
	for g := range 40 {
		cross := make([]float64, m*m)
		n := 3 + rng.IntN(20)
		b0, b1 := 0.1*rng.NormFloat64(), 0.05*rng.NormFloat64()
		for i := range n {
			age, t := float64(i)/10, 0.3*rng.NormFloat64()
			x := []float64{float64(g % 2), float64(1 - g%2), t, age} // two forms, and a column that is Z's
			z := []float64{1, age}
			y := 0.2*x[0] - 0.1*x[1] + 0.5*t - 0.2*age + b0 + b1*age + 0.05*rng.NormFloat64()
			rows.Add(g, x, z, y, 1)
			all := append(append(append([]float64{}, z...), x...), y)
			for j, v := range all {
				for k, w := range all {
					cross[j*m+k] += v * w
				}
			}
		}
		require.NoError(t, sums.AddCrossProducts(g, n, cross))
	}
	assert.Equal(t, rows.N(), sums.N())
	for _, c := range []Criterion{REML, ML} {
		want, err := Fit(rows, c)
		require.NoError(t, err)
		got, err := Fit(sums, c)
		require.NoError(t, err)
		assert.InEpsilon(t, want.Deviance, got.Deviance, 1e-10)
		assert.InEpsilonSlice(t, want.Beta, got.Beta, 1e-9)
		assert.InEpsilon(t, want.Sigma, got.Sigma, 1e-10)
		for k := range q {
			assert.InEpsilon(t, want.SD(k), got.SD(k), 1e-7)
		}
	}
}

func TestWhatIsNoCrossProductIsRefused(t *testing.T) {
	s := NewSums(1, 1)
	for name, cross := range map[string][]float64{
		"missing":       {1, 1, math.NaN(), 1, 1, 1, math.NaN(), 1, 1},
		"not symmetric": {1, 1, 1, 1, 1, 2, 1, 1, 1},
		"not positive":  {1, 2, 1, 2, 1, 1, 1, 1, 1},
		"negative":      {-1, 0, 0, 0, 1, 0, 0, 0, 1},
	} {
		assert.Error(t, s.AddCrossProducts(0, 3, cross), name)
	}
	assert.Equal(t, 0, s.N())
	assert.Panics(t, func() { s.AddCrossProducts(0, 1, make([]float64, 4)) })
	assert.Panics(t, func() { s.AddCrossProducts(0, 0, make([]float64, 9)) })
}
