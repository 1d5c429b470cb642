package importance

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

func unit(n int) *mat.Dense {
	root := mat.NewDense(n, n, nil)
	for i := range n {
		root.Set(i, i, 1)
	}
	return root
}

func mean[T any](places []Place[T], of func(x []float64) float64) float64 {
	sum := 0.0
	for _, p := range places {
		sum += p.Weight * of(p.X)
	}
	return sum
}

// A normal law away from the first guess: mean (3, −1), variances 4 and 0.25,
// correlation 0.8.
func TestMomentsOfANormalLaw(t *testing.T) {
	const r = 0.8
	places := Spread(func(x []float64) (float64, int) {
		a, b := (x[0]-3)/2, (x[1]+1)/0.5
		return -(a*a - 2*r*a*b + b*b) / (2 * (1 - r*r)), len(x)
	}, []float64{1, 0}, unit(2), 400, 5)
	require.InDelta(t, 1, mean(places, func([]float64) float64 { return 1 }), 1e-12)
	require.InDelta(t, 3, mean(places, func(x []float64) float64 { return x[0] }), 0.05)
	require.InDelta(t, -1, mean(places, func(x []float64) float64 { return x[1] }), 0.02)
	require.InEpsilon(t, 4, mean(places, func(x []float64) float64 { return (x[0] - 3) * (x[0] - 3) }), 0.06)
	require.InEpsilon(t, 0.8, mean(places, func(x []float64) float64 { return (x[0] - 3) * (x[1] + 1) }), 0.08)
	require.Equal(t, 2, places[0].With)
}

// The log of a gamma variable of shape 4: mean ψ(4) = 11/6 − γ, variance
// ψ'(4) = π²/6 − 49/36 (closed forms).
func TestMomentsOfASkewedLaw(t *testing.T) {
	places := Spread(func(x []float64) (float64, struct{}) { return 4*x[0] - math.Exp(x[0]), struct{}{} }, []float64{math.Log(4)}, unit(1), 400, 5)
	want := 11.0/6 - 0.5772156649015329
	require.InDelta(t, want, mean(places, func(x []float64) float64 { return x[0] }), 0.01)
	require.InEpsilon(t, math.Pi*math.Pi/6-49.0/36, mean(places, func(x []float64) float64 { return (x[0] - want) * (x[0] - want) }), 0.03)
}

func TestPlacesWithoutADensityAreLeftOut(t *testing.T) {
	places := Spread(func(x []float64) (float64, bool) {
		if x[0] < 0 {
			return math.Inf(-1), false
		}
		return -x[0], true
	}, []float64{1}, unit(1), 400, 5)
	require.InDelta(t, 1, mean(places, func(x []float64) float64 { return x[0] }), 0.05)
	for _, p := range places {
		require.True(t, p.With)
	}
	require.Empty(t, Spread(func([]float64) (float64, bool) { return math.NaN(), false }, []float64{1}, unit(1), 40, 5))
}

func TestRootTimesItsTransposeIsTheMatrix(t *testing.T) {
	s := mat.NewSymDense(3, []float64{4, 1, 0.5, 1, 3, -1, 0.5, -1, 2})
	root := Root(s, math.Sqrt)
	var back mat.Dense
	back.Mul(root, root.T())
	require.True(t, mat.EqualApprox(s, &back, 1e-12))
}

// Radical inverses by hand: 1/2, 1/4, 3/4 in base 2; 1/3, 2/3, 1/9 in base 3.
func TestHaltonByHand(t *testing.T) {
	require.Equal(t, []int{2, 3, 5, 7, 11, 13, 17}, primes(7))
	for i, want := range []float64{1.0 / 2, 1.0 / 4, 3.0 / 4} {
		require.InDelta(t, want, halton(i+1, 2), 1e-15)
	}
	for i, want := range []float64{1.0 / 3, 2.0 / 3, 1.0 / 9} {
		require.InDelta(t, want, halton(i+1, 3), 1e-15)
	}
}
