package incidence

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// simulated draws exponential lives with two causes, late entries and exits.
func simulated(n int, rng *rand.Rand) []Unit {
	units := make([]Unit, 0, n)
	for len(units) < n {
		life := 50 * rng.ExpFloat64()
		u := Unit{Exit: math.Ceil(life), Cause: 1}
		if rng.Float64() < 0.4 {
			u.Cause = 2
		}
		if end := 1 + float64(rng.IntN(120)); end < u.Exit {
			u.Exit, u.Cause = end, 0
		}
		if rng.IntN(3) == 0 {
			u.Entry = float64(rng.IntN(10))
		}
		if u.Exit > u.Entry {
			units = append(units, u)
		}
	}
	return units
}

func TestSharesAddToOneAndGrow(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 50 {
		c, err := AalenJohansen(simulated(1+rng.IntN(80), rng), 2)
		require.NoError(t, err)
		last := make([]float64, 2)
		for _, s := range c.Steps {
			require.InDelta(t, 1, s.Survival+s.Incidence[0]+s.Incidence[1], 1e-12)
			for k := range last {
				require.GreaterOrEqual(t, s.Incidence[k], last[k])
				require.False(t, math.IsNaN(s.StdErr[k]))
				low, high := c.Interval(k+1, s.Age, 1.96)
				require.True(t, 0 <= low && low <= s.Incidence[k] && s.Incidence[k] <= high && high <= 1)
			}
			last = s.Incidence
		}
	}
}

// With a single cause survival is the product-limit estimate and its variance
// Greenwood's: Gehan's 6-MP group (Freireich et al. 1963; values by R's survfit).
func TestOneCauseIsProductLimit(t *testing.T) {
	var units []Unit
	for _, w := range []float64{6, 6, 6, 7, 10, 13, 16, 22, 23} {
		units = append(units, Unit{Exit: w, Cause: 1})
	}
	for _, w := range []float64{6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35} {
		units = append(units, Unit{Exit: w})
	}
	c, err := AalenJohansen(units, 1)
	require.NoError(t, err)
	for age, want := range map[float64][2]float64{
		6:  {0.857142857, 0.076360355},
		10: {0.752941176, 0},
		23: {0.448179272, 0.134591457},
	} {
		require.InDelta(t, want[0], c.At(age).Survival, 1e-9)
		if want[1] > 0 {
			require.InDelta(t, want[1], c.At(age).SurvivalSE, 1e-9)
			require.InDelta(t, want[1], c.At(age).StdErr[0], 1e-9)
		}
	}
}

// Standard errors against the scatter of estimates over many records.
func TestStandardErrorsAreHonest(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	const records, age = 2000, 40
	var sum, square, said float64
	for range records {
		c, err := AalenJohansen(simulated(150, rng), 2)
		require.NoError(t, err)
		s := c.At(age)
		sum += s.Incidence[1]
		square += s.Incidence[1] * s.Incidence[1]
		said += s.StdErr[1]
	}
	mean := sum / records
	require.InEpsilon(t, math.Sqrt(square/records-mean*mean), said/records, 0.06)
}

func TestOrderOfUnitsDoesNotMatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	units := simulated(60, rng)
	a, err := AalenJohansen(units, 2)
	require.NoError(t, err)
	rng.Shuffle(len(units), func(i, j int) { units[i], units[j] = units[j], units[i] })
	b, err := AalenJohansen(units, 2)
	require.NoError(t, err)
	require.Equal(t, a, b)
}

func TestBadUnitsAreErrors(t *testing.T) {
	_, err := AalenJohansen(nil, 1)
	require.Error(t, err)
	for _, u := range []Unit{{Exit: math.NaN()}, {Entry: -1, Exit: 2}, {Entry: 3, Exit: 3}, {Exit: math.Inf(1)}, {}} {
		_, err := AalenJohansen([]Unit{{Exit: 1}, u}, 1)
		require.ErrorContains(t, err, "unit 2 of 2")
	}
	c, err := AalenJohansen([]Unit{{Exit: 5}}, 3)
	require.NoError(t, err)
	require.Equal(t, []float64{0, 0, 0}, c.At(9).Incidence, "none ended")
}

// The cost is that of sorting: hardly more than the number of units.
func BenchmarkAalenJohansen(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		units := simulated(n, rand.New(rand.NewPCG(1, 1)))
		b.Run(fmt.Sprintf("units=%d", n), func(b *testing.B) {
			for b.Loop() {
				_, err := AalenJohansen(units, 2)
				require.NoError(b, err)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/unit")
		})
	}
}
