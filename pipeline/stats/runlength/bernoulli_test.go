package runlength

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

func TestBernoulliSteps(t *testing.T) {
	for _, p0 := range []float64{0.001, 0.01, 0.04, 0.1, 0.3, 0.7, 0.95} {
		for _, p1 := range []float64{0.0012, 0.02, 0.08, 0.25, 0.6, 0.9, 0.999} {
			b, err := NewBernoulli(p0, p1)
			if p1 <= p0 {
				require.ErrorContains(t, err, "above", "%g to %g", p0, p1)
				continue
			}
			require.NoError(t, err)
			// The log likelihood ratio of an event against that of none.
			up, down := math.Log(p1/p0), -math.Log((1-p1)/(1-p0))
			assert.InEpsilon(t, up/down, float64(b.Up)/float64(b.Down), 0.025, "%+v", b)
			// The sum must fall in control and rise at the chance to notice.
			assert.Negative(t, p0*float64(b.Up)-(1-p0)*float64(b.Down))
			assert.Positive(t, p1*float64(b.Up)-(1-p1)*float64(b.Down))
		}
	}
}

// TestFirstAndSecondEvent holds charts simple enough for a formula. A limit
// that one event reaches waits for it, 1/p; a limit that any second event
// within w observations reaches waits (1/p)(1 + 1/(1-(1-p)^w)), for after each
// event the next comes within w or the wait starts over.
func TestFirstAndSecondEvent(t *testing.T) {
	b := Bernoulli{P0: 0.05, P1: 0.1, Up: 13, Down: 1}
	for _, p := range []float64{0.001, 0.05, 0.3, 1} {
		assert.InEpsilon(t, 1/p, b.ANSS(p, 1), 1e-12)
		assert.InEpsilon(t, 1/p, b.ANSS(p, 13), 1e-12)
		assert.InEpsilon(t, (1+1/(1-math.Pow(1-p, 13)))/p, b.ANSS(p, 14), 1e-12)
	}
	b = Bernoulli{P0: 0.3, P1: 0.6, Up: 4, Down: 3}
	for _, p := range []float64{0.02, 0.3, 0.9} { // positive for two observations
		assert.InEpsilon(t, (1+1/(1-math.Pow(1-p, 2)))/p, b.ANSS(p, 5), 1e-12)
	}
}

// TestAgainstLinearEquations solves the same chain without the elimination.
func TestAgainstLinearEquations(t *testing.T) {
	for _, c := range []struct{ p0, p1 float64 }{{0.02, 0.06}, {0.1, 0.3}, {0.25, 0.5}, {0.5, 0.8}} {
		b, err := NewBernoulli(c.p0, c.p1)
		require.NoError(t, err)
		for _, limit := range []int{3, b.Up + b.Down, 3 * b.Up, 5*b.Up + 1} {
			for _, p := range []float64{c.p0, c.p1} {
				a, ones := mat.NewDense(limit, limit, nil), mat.NewVecDense(limit, nil)
				for s := range limit {
					ones.SetVec(s, 1)
					a.Set(s, s, a.At(s, s)+1)
					if s+b.Up < limit {
						a.Set(s, s+b.Up, a.At(s, s+b.Up)-p)
					}
					to := max(0, s-b.Down)
					a.Set(s, to, a.At(s, to)-(1-p))
				}
				var steps mat.VecDense
				require.NoError(t, steps.SolveVec(a, ones))
				assert.InEpsilon(t, steps.AtVec(0), b.ANSS(p, limit), 1e-9, "%+v, limit %d, chance %g", b, limit, p)
			}
		}
	}
}

func TestBernoulliBySimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(1999, 31))
	for _, c := range []struct{ p0, p1 float64 }{{0.03, 0.09}, {0.1, 0.25}, {0.3, 0.6}} {
		b, err := NewBernoulli(c.p0, c.p1)
		require.NoError(t, err)
		limit, anss, err := b.Limit(300)
		require.NoError(t, err)
		for _, p := range []float64{c.p0, c.p1} {
			const runs = 5000
			sum, squares := 0.0, 0.0
			for range runs {
				n := 0.0
				for s := 0; s < limit; n++ {
					s = b.Step(s, rng.Float64() < p)
				}
				sum += n
				squares += n * n
			}
			mean := sum / runs
			se := math.Sqrt((squares/runs - mean*mean) / runs)
			assert.InDelta(t, mean, b.ANSS(p, limit), 4*se, "%+v at chance %g", b, p)
		}
		assert.Equal(t, anss, b.ANSS(c.p0, limit))
	}
}

// TestCorrectedDiffusion compares with the approximation of Reynolds &
// Stoumbos 1999 (formula from memory): with h the limit in units of one event,
// h* = h + e(p0) sqrt(p0 q0), e(p) = .410 - .0842 l - .0391 l^3 - .00376 l^4
// - .000008 l^7, l = log p, the average is (exp(h* r2) - h* r2 - 1)/|r2 p0 - r1|.
func TestCorrectedDiffusion(t *testing.T) {
	for _, c := range []struct {
		p0 float64
		m  int
	}{{0.01, 60}, {0.02, 30}, {0.05, 12}, {0.1, 7}} {
		b := Bernoulli{P0: c.p0, Up: c.m - 1, Down: 1}
		b.P1 = noticed(c.p0, 1/float64(c.m))
		limit := 3*c.m + c.m/2
		l := math.Log(c.p0)
		e := 0.410 - 0.0842*l - 0.0391*l*l*l - 0.00376*l*l*l*l - 0.000008*math.Pow(l, 7)
		h := float64(limit)/float64(c.m) + e*math.Sqrt(c.p0*(1-c.p0))
		r1 := math.Log((1 - c.p0) / (1 - b.P1))
		r2 := math.Log(b.P1 * (1 - c.p0) / (c.p0 * (1 - b.P1)))
		want := (math.Exp(h*r2) - h*r2 - 1) / math.Abs(r2*c.p0-r1)
		assert.InEpsilon(t, want, b.ANSS(c.p0, limit), 0.05, "%+v", b)
	}
}

// noticed is the p1 for which the chart against p0 has this gamma.
func noticed(p0, gamma float64) float64 {
	low, high := gamma, 1.0
	for range 100 {
		middle := (low + high) / 2
		if bernoulliGamma(p0, middle) < gamma {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

func TestBernoulliLimit(t *testing.T) {
	for _, c := range []struct{ p0, p1 float64 }{{0.001, 0.005}, {0.05, 0.15}, {0.2, 0.5}, {0.6, 0.9}} {
		b, err := NewBernoulli(c.p0, c.p1)
		require.NoError(t, err)
		before := 0
		for _, want := range []float64{1, 20, 500, 5000, 1e6} {
			limit, anss, err := b.Limit(want)
			require.NoError(t, err)
			assert.GreaterOrEqual(t, anss, want)
			if limit > 1 {
				assert.Less(t, b.ANSS(c.p0, limit-1), want, "the limit is the smallest that does")
			}
			assert.GreaterOrEqual(t, limit, before)
			before = limit
			assert.Less(t, b.ANSS(c.p1, limit), anss+1e-9, "a rise is noticed sooner than a false alarm")
		}
	}
}

func TestBernoulliOutOfReach(t *testing.T) {
	nan := math.NaN()
	for _, bad := range [][2]float64{{0, 0.1}, {0.0001, 0.1}, {0.1, 0.1}, {0.3, math.Nextafter(0.3, 1)}, {0.5, 0.2},
		{0.5, 1}, {1, 1}, {nan, 0.5}, {0.5, nan}, {-1, 0.5}} {
		_, err := NewBernoulli(bad[0], bad[1])
		require.Error(t, err, "%v", bad)
	}
	b, err := NewBernoulli(0.05, 0.15)
	require.NoError(t, err)
	for _, bad := range []float64{0, -3, nan, math.Inf(1)} {
		_, _, err := b.Limit(bad)
		require.ErrorContains(t, err, "at least 1")
	}
	assert.True(t, math.IsNaN(b.ANSS(0, 10)))
	assert.True(t, math.IsNaN(b.ANSS(1.1, 10)))
	assert.True(t, math.IsNaN(b.ANSS(nan, 10)))
	assert.True(t, math.IsNaN(b.ANSS(0.1, 0)))
	assert.True(t, math.IsNaN(b.ANSS(0.1, mostStates+1)))

	near, err := NewBernoulli(0.5, 0.5001)
	require.NoError(t, err)
	_, _, err = near.Limit(1e12)
	require.ErrorContains(t, err, "out of reach")
}
