package hindcast

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func TestPinballByHand(t *testing.T) {
	require.InDelta(t, 0.9*4, pinball(0.9, 10, 14), 1e-12)
	require.InDelta(t, 0.1*4, pinball(0.9, 14, 10), 1e-12)
	require.InDelta(t, (0.1*2+0.5*0+0.1*2)/3, threePoints(8, 10, 12, 10), 1e-12)
}

// ⌈(n+1)·level⌉: of 9 scores the 9th for 0.9, of 19 the 18th, of 10 the 10th.
func TestConformalByHand(t *testing.T) {
	scores := make([]float64, 19)
	for i := range scores {
		scores[i] = float64(19 - i)
	}
	require.Equal(t, 18.0, conformal(scores, 0.9))
	require.Equal(t, 9.0, conformal(scores[10:], 0.9))
	require.Equal(t, 10.0, conformal(scores[9:], 0.9))
	require.Equal(t, 10.0, conformal(scores, 0.5))
}

// Without censoring the product limit is the plain share; with it the estimate by
// hand: of four places, 0.2 ended, 0.4 in use, 0.6 and 0.8 ended: 1/4, then
// 1 − ¾·½ = 0.625, then 1.
func TestProductLimitByHand(t *testing.T) {
	l := limitOf([]place{{0.2, true, ""}, {0.6, true, ""}, {0.4, false, ""}, {0.8, true, ""}})
	require.InDelta(t, 0, l.at(0.1), 1e-12)
	require.InDelta(t, 0.25, l.at(0.2), 1e-12)
	require.InDelta(t, 0.25, l.at(0.5), 1e-12)
	require.InDelta(t, 0.625, l.at(0.7), 1e-12)
	require.InDelta(t, 1, l.at(0.9), 1e-12)
	require.InDelta(t, 0.375, l.within(0.58), 1e-12)
}

// Forecasts that are right hold their share although half of the molds are still
// in use; counting only ends would not show it.
func TestCensoringLeavesNoBias(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	var places []place
	early, ends := 0.0, 0.0
	for range 20000 {
		u, seen := rng.Float64(), 1.2*rng.Float64()
		if u <= seen {
			places = append(places, place{u, true, ""})
			ends++
			if u <= 0.3 {
				early++
			}
		} else {
			places = append(places, place{seen, false, ""})
		}
	}
	l := limitOf(places)
	require.InDelta(t, 0.8, l.within(0.8), 0.015)
	require.InDelta(t, 0.5, l.within(0.5), 0.015)
	require.InDelta(t, 0.3, l.at(0.3), 0.015)
	require.Greater(t, early/ends, 0.4, "the ends seen are the early ones")
}

func TestLawGoesThroughItsPoints(t *testing.T) {
	r := tables.RemainingCasts{RemainingP10: 4, RemainingP50: 12, RemainingP90: 30, Survive5: 0.87, Survive10: 0.58, Survive20: 0.27}
	l, ok := lawOf(r)
	require.True(t, ok)
	require.InDelta(t, 0.1, l.at(4.5), 1e-12)
	require.InDelta(t, 0.5, l.at(12.5), 1e-12)
	require.InDelta(t, 0.13, l.at(5), 1e-12)
	require.InDelta(t, 0.73, l.at(20), 1e-12)
	before := -1.0
	for x := 0.0; x < 200; x += 0.5 {
		p := l.at(x)
		require.GreaterOrEqual(t, p, before)
		before = p
	}
	for _, p := range []float64{0.05, 0.1, 0.3, 0.5, 0.8, 0.9, 0.99} {
		require.InDelta(t, p, l.at(l.point(p)), 1e-9)
	}
	at, ok := lawOf(tables.RemainingCasts{}) // a mold at its end
	require.True(t, ok)
	require.False(t, math.IsNaN(at.at(0.5)))
	_, ok = lawOf(tables.RemainingCasts{RemainingP10: tables.Absent()})
	require.False(t, ok)
}

func TestWidenedByHand(t *testing.T) {
	require.InDelta(t, 0.5, widened(0.5, 3), 1e-12)
	require.InDelta(t, 0.9, widened(0.9, 1), 1e-12)
	require.Less(t, widened(0.1, 2), 0.1)
	require.Greater(t, widened(0.9, 2), 0.99)
	require.Equal(t, 1.0, widened(1, 2))
}

// Forecasts of one mold fare alike, which the standard error must tell.
func TestSpreadAllowsForMoldsThatFareAlike(t *testing.T) {
	heldBy := map[string]float64{"A": 10, "B": 0, "C": 10, "D": 0}
	var molds []string
	for m := range heldBy {
		for range 10 {
			molds = append(molds, m)
		}
	}
	without := func(m string) float64 { return (20 - heldBy[m]) / 30 }
	require.Greater(t, spread(0.5, 40, molds, without), 0.2)
	require.InDelta(t, math.Sqrt(0.25/40), spread(0.5, 40, molds, func(string) float64 { return 0.5 }), 1e-12)
}
