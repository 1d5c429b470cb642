package quad

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func sample(f func(float64) float64, xs ...float64) []float64 {
	ys := make([]float64, len(xs))
	for i, x := range xs {
		ys[i] = f(x)
	}
	return ys
}

func steps(from, to float64, n int) []float64 {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	return xs
}

// Simpson's rule and the three-eighths rule integrate cubics exactly (closed form).
func TestEquallySpacedCubicsAreExact(t *testing.T) {
	cubic := func(x float64) float64 { return 2 - x + 3*x*x - 0.5*x*x*x }
	integral := func(x float64) float64 { return 2*x - x*x/2 + x*x*x - 0.125*x*x*x*x }
	for n := 3; n <= 12; n++ {
		xs := steps(-1, 4, n)
		got, err := Integrate(xs, sample(cubic, xs...))
		require.NoError(t, err)
		require.InDelta(t, integral(4)-integral(-1), got, 1e-11, "%d points", n)
	}
}

// ∫ sin over (0, π) is 2 (closed form); the monotone cubic flattens at the top
// of the curve, so it is held to a tenth of a percent only.
func TestUnequalSpacing(t *testing.T) {
	xs := []float64{0, 0.2, 0.45, 0.8, 1.1, 1.4, 1.7, 2, 2.4, 2.7, 2.95, math.Pi}
	got, err := Integrate(xs, sample(math.Sin, xs...))
	require.NoError(t, err)
	require.InEpsilon(t, 2, got, 0.001*2)
	straight, err := Monotone([]float64{0, 1, 5}, []float64{1, 3, 11})
	require.NoError(t, err)
	require.InDelta(t, 30, straight, 1e-12, "straight lines are exact")
}

func TestAStepIsNotOvershot(t *testing.T) {
	got, err := Monotone([]float64{0, 1, 2, 3}, []float64{0, 0, 1, 1})
	require.NoError(t, err)
	require.InDelta(t, 1.5, got, 1e-12, "an antisymmetric step integrates to its middle")
}

func TestPointsThatCannotBeIntegrated(t *testing.T) {
	_, err := Integrate([]float64{1}, []float64{1})
	require.ErrorIs(t, err, ErrTooFew)
	_, err = Integrate([]float64{0, 2, 2}, []float64{1, 1, 1})
	require.ErrorIs(t, err, ErrOrder)
	_, err = Monotone([]float64{0, 2, 1}, []float64{1, 1, 1})
	require.ErrorIs(t, err, ErrOrder)
	_, err = Integrate([]float64{0, 1, 2}, []float64{1, math.NaN(), 1})
	require.ErrorIs(t, err, ErrInfinite)
	_, err = Monotone([]float64{0, 1, math.Inf(1)}, []float64{1, 1, 1})
	require.ErrorIs(t, err, ErrInfinite)
	require.Panics(t, func() { _, _ = Integrate([]float64{0, 1}, []float64{1}) })
}

// The error of a product is, to first order, x·y·√((s_x/x)² + (s_y/y)²) (closed form).
func TestPropagateAgreesWithTheClosedFormAndWithSimulation(t *testing.T) {
	product := func(a []float64) float64 { return a[0] * a[1] }
	at, se := []float64{8, 5, 3}, []float64{0.2, 0.1, 0}
	got := Propagate(product, at, se)
	require.InDelta(t, 40*math.Hypot(0.2/8, 0.1/5), got, 1e-9)

	r := rand.New(rand.NewPCG(7, 1))
	var sum, squares float64
	const n = 20000
	for range n {
		x := product([]float64{at[0] + se[0]*r.NormFloat64(), at[1] + se[1]*r.NormFloat64()})
		sum += x
		squares += x * x
	}
	sd := math.Sqrt(squares/n - sum/n*sum/n)
	require.InEpsilon(t, sd, got, 0.03)
}

func TestCombineWeighsByInverseVariance(t *testing.T) {
	mean, w, se := Combine(10, 1, 20, 2)
	require.InDelta(t, 12, mean, 1e-12)
	require.InDelta(t, 0.8, w, 1e-12)
	require.InDelta(t, math.Sqrt(0.8), se, 1e-12)
	mean, w, se = Combine(10, 0, 20, 2)
	require.Equal(t, []float64{10, 1, 0}, []float64{mean, w, se})
	mean, _, se = Combine(1, 0, 3, 0)
	require.Equal(t, []float64{2, 0}, []float64{mean, se})
}
