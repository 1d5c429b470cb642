package runlength

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
)

// series is a made-up series with a level and a slope of its own.
type series struct {
	g       [][]float64
	sd, per float64 // of one observation; effect of one unit of slope per place
}

func usualSeries() series {
	return series{g: [][]float64{{0.002, 0.00001}, {0.00001, 0.000004}}, sd: 0.035, per: -0.005}
}

func (s series) draw(rng *rand.Rand, n int, from, size float64) []Observation {
	l := math.Sqrt(s.g[0][0])
	b0 := l * rng.NormFloat64()
	b1 := s.g[0][1]/s.g[0][0]*b0 + math.Sqrt(s.g[1][1]-s.g[0][1]*s.g[0][1]/s.g[0][0])*rng.NormFloat64()
	out := make([]Observation, n)
	for i := range out {
		at := float64(i)
		out[i] = Observation{
			Y: b0 + b1*at + size*s.per*math.Max(0, at-from) + s.sd*rng.NormFloat64(),
			Z: []float64{1, at}, Var: s.sd * s.sd, Trust: 1, At: at, Slope: s.per,
		}
	}
	return out
}

// The sum over the places of the ratios of the joint densities, written out with
// the full covariance matrix of the series, needs no filter.
func TestSlopeChartAgainstJointDensities(t *testing.T) {
	s := usualSeries()
	obs := s.draw(rand.New(rand.NewPCG(3, 1)), 9, 4, 2)
	const head = 20.0
	c := NewSlopeChart(s.g, []float64{1, 2}, head, math.Inf(1))
	for n := 1; n <= len(obs); n++ {
		c.Step(obs[n-1])
		cov := mat.NewSymDense(n, nil)
		y := make([]float64, n)
		for i := range n {
			y[i] = obs[i].Y
			for j := i; j < n; j++ {
				v := 0.0
				for a := range 2 {
					for b := range 2 {
						v += obs[i].Z[a] * s.g[a][b] * obs[j].Z[b]
					}
				}
				if i == j {
					v += obs[i].Var
				}
				cov.SetSym(i, j, v)
			}
		}
		density := func(from, size float64) float64 {
			mean := make([]float64, n)
			for i := range n {
				mean[i] = size * s.per * math.Max(0, obs[i].At-from)
			}
			law, ok := distmv.NewNormal(mean, cov, nil)
			require.True(t, ok)
			return law.Prob(y)
		}
		none := density(0, 0)
		want := head * (density(0, 1) + density(0, 2)) / 2 / none
		for k := range n {
			want += (density(obs[k].At, 1) + density(obs[k].At, 2)) / 2 / none
		}
		require.InEpsilon(t, math.Log(want), c.LogR(), 1e-8, "after %d observations", n)
	}
}

// The mean run length is at least the one that the limit was set for, bounded
// errors and all, and a change of slope is noticed sooner.
func TestSlopeChartKeepsItsRunLength(t *testing.T) {
	s := usualSeries()
	const inControl, runs, longest = 60.0, 300, 1500
	mean := func(seed uint64, size float64) float64 {
		rng := rand.New(rand.NewPCG(seed, 2))
		total := 0.0
		for range runs {
			c := NewSlopeChart(s.g, []float64{1, 2}, 20, 3)
			for i, o := range s.draw(rng, longest, 10, size) {
				c.Step(o)
				if c.LogR() > c.Limit(inControl) {
					total += float64(i + 1)
					break
				}
				if i == longest-1 {
					total += longest
				}
			}
		}
		return total / runs
	}
	healthy := mean(11, 0)
	assert.Greater(t, healthy, inControl*0.95, "0.95: the standard error of the simulation")
	assert.Less(t, mean(12, 2), healthy*0.7)
}

func TestSlopeChartFindsTheOnset(t *testing.T) {
	s := usualSeries()
	s.sd = 0.012
	c := NewSlopeChart(s.g, []float64{1, 2}, 20, 3)
	for _, o := range s.draw(rand.New(rand.NewPCG(5, 5)), 40, 22, 2) {
		c.Step(o)
	}
	at, first := c.Onset()
	require.False(t, first)
	require.InDelta(t, 22, at, 3)

	c = NewSlopeChart(s.g, []float64{1, 2}, 20, 3)
	for _, o := range s.draw(rand.New(rand.NewPCG(6, 5)), 40, 0, 2) {
		c.Step(o)
	}
	_, first = c.Onset()
	require.True(t, first)
}

func TestSlopeChartDropsPlacesAndStaysBounded(t *testing.T) {
	s := usualSeries()
	c := NewSlopeChart(s.g, []float64{1}, 0, 3)
	for _, o := range s.draw(rand.New(rand.NewPCG(8, 5)), 600, 1e9, 0) {
		c.Step(o)
	}
	require.LessOrEqual(t, len(c.paths), mostPaths)
	require.False(t, math.IsNaN(c.LogR()))
}

// Without effects of its own a series is independent errors.
func TestFilterWithoutEffects(t *testing.T) {
	err, variance, gain := NewFilter(nil).Step(Observation{Y: 2, Var: 4, Trust: 1})
	require.Equal(t, 2.0, err)
	require.Equal(t, 4.0, variance)
	require.Empty(t, gain)
}
