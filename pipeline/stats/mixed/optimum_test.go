package mixed

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// sample draws a small design and its data from the model itself.
func sample(r *rand.Rand) *rows {
	p, q := 1+r.IntN(4), 1+r.IntN(3)
	n, groups := 10+r.IntN(60), 3+r.IntN(10)
	sd := []float64{math.Exp(r.NormFloat64()), math.Exp(r.NormFloat64() - 1), math.Exp(r.NormFloat64() - 1)}
	effects := make([][]float64, groups)
	for g := range effects {
		u := r.NormFloat64()
		effects[g] = []float64{sd[0] * u, sd[1] * (0.5*u + r.NormFloat64()), sd[2] * r.NormFloat64()}[:q]
	}
	d := &rows{}
	for range n {
		g, t, u := r.IntN(groups), 5*r.Float64(), r.NormFloat64()
		z := []float64{1, t, u}[:q]
		d.add(g, []float64{1, t, u, float64(g % 2)}[:p], z, 10+t+dot(z, effects[g])+r.NormFloat64(), 1)
	}
	return d
}

// Searches from ten random places find nothing better than Fit, save for a few
// designs of three random effects, as Fit's comment says.
func TestNoBetterOptimumElsewhere(t *testing.T) {
	r := rand.New(rand.NewPCG(30, 4))
	fits, missed := 0, [MaxRandom + 1]int{}
	for range 1000 {
		k, _, err := prepare(sample(r).sums(), Criterion(r.IntN(2)))
		if err != nil {
			continue
		}
		h := &hunt{k: k, st: k.newState()}
		best, err := h.run()
		require.NoError(t, err)
		fits++
		for range 10 {
			var lam square3
			size := math.Pow(10, 4*r.Float64()-2)
			for i := range k.q {
				for j := range i + 1 {
					lam[i*k.q+j] = size * r.NormFloat64()
				}
			}
			if h.descend(lam, k.q, rough).value < best.value-1e-6 {
				missed[k.q]++
				break
			}
		}
	}
	t.Log("fits", fits, "missed by q", missed)
	require.Greater(t, fits, 900)
	require.Zero(t, missed[1])
	require.LessOrEqual(t, missed[2], 2)
	require.LessOrEqual(t, missed[3], 6)
}

// The minimizer on the valley of Rosenbrock (1960), whose minimum is 0 at
// (1, 1), and on a function whose minimum is flat to fourth order.
func TestMinimizer(t *testing.T) {
	valley := func(x, g []float64) float64 {
		a, b := 1-x[0], x[1]-x[0]*x[0]
		g[0], g[1] = -2*a-400*x[0]*b, 200*b
		return a*a + 100*b*b
	}
	for _, from := range [][]float64{{-1.2, 1}, {5, -5}, {0, 0}, {30, 40}} {
		s := minimizer{f: valley, settled: 1e-12}
		x := append([]float64(nil), from...)
		s.run(x)
		value, _ := s.polish(x)
		require.InDelta(t, 0, value, 1e-20)
		require.InDelta(t, 1, x[0], 1e-9)
		require.InDelta(t, 1, x[1], 1e-9)
	}
	s := minimizer{settled: 1e-12, f: func(x, g []float64) float64 {
		g[0] = 4 * x[0] * x[0] * x[0]
		return x[0] * x[0] * x[0] * x[0]
	}}
	x := []float64{3}
	value, _ := s.run(x)
	require.InDelta(t, 0, value, 1e-10)

	wall := minimizer{f: func(x, g []float64) float64 { return math.Inf(1) }}
	value, _ = wall.run([]float64{1})
	require.True(t, math.IsInf(value, 1))
}
