package life

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func TestSummaryCountsByHand(t *testing.T) {
	var draws []float64
	for i := range 100 {
		draws = append(draws, float64(i))
	}
	s := Summarise(tables.RemainingCasts{Mold: "A"}, draws)
	require.Equal(t, "A", s.Mold)
	require.Equal(t, []float64{10, 50, 90}, []float64{s.RemainingP10, s.RemainingP50, s.RemainingP90})
	require.Equal(t, []float64{.95, .9, .8}, []float64{s.Survive5, s.Survive10, s.Survive20})
}

// Draws of a normal law of mean 60 and standard deviation 5, stretched by a factor,
// are those of a normal law of mean 60 and that many times the deviation.
func TestStretchedDrawsOfANormalLaw(t *testing.T) {
	const n = 4000
	draws := make([]float64, n)
	for i := range draws {
		draws[i] = math.Round(60 - 5*math.Sqrt2*math.Erfcinv(2*(float64(i)+0.5)/n))
	}
	require.True(t, slices.Equal(draws, Stretched(draws, 1)))
	for _, f := range []float64{0.6, 1.5, 2} {
		got := Stretched(draws, f)
		require.True(t, slices.IsSorted(got))
		for _, p := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
			require.InDelta(t, 60-5*f*math.Sqrt2*math.Erfcinv(2*p), Point(got, p), 1, "factor %g, chance %g", f, p)
		}
	}
	// A tail goes on where the former draws end.
	require.Greater(t, Stretched(draws, 2)[n-1], draws[n-1])
	require.Less(t, Stretched(draws, 2)[n-1], draws[n-1]+60)
}

func TestStretchedDrawsKeepOneCastAtLeast(t *testing.T) {
	for _, draws := range [][]float64{{1}, {1, 1, 1}, {1, 2, 3, 40}, {7, 7}} {
		for _, f := range []float64{0.5, 1, 3} {
			got := Stretched(draws, f)
			require.Len(t, got, len(draws))
			require.True(t, slices.IsSorted(got))
			require.GreaterOrEqual(t, got[0], 1.0)
			require.False(t, math.IsInf(got[len(got)-1], 0) || math.IsNaN(got[len(got)-1]))
		}
	}
}
