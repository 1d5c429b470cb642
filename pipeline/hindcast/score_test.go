package hindcast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
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

// By hand: of draws 1 2 2 2 5, an end at 2 lies somewhere between 1/5 and 4/5, one at
// 3 at 4/5, one beyond all in the last half of a draw's share; a mold in use that
// made 2 will end above 4/5.
func TestPlacesByHand(t *testing.T) {
	draws := []float64{1, 2, 2, 2, 5}
	at := func(came float64, ended bool, mold string) float64 {
		return placeOf(draws, Life{Mold: mold, Came: came, Ended: ended})
	}
	sum := 0.0
	for i := range 200 {
		u := at(2, true, fmt.Sprint(i))
		require.True(t, u >= 0.2 && u <= 0.8)
		sum += u / 200
	}
	require.InDelta(t, 0.5, sum, 0.05)
	require.Equal(t, at(2, true, "A"), at(2, true, "A"))
	require.InDelta(t, 0.8, at(3, true, "A"), 1e-12)
	require.InDelta(t, 0.9, at(9, true, "A"), 1e-12)
	require.InDelta(t, 0.1, at(0, true, "A"), 1e-12)
	require.InDelta(t, 0.8, at(2, false, "A"), 1e-12)
	require.InDelta(t, 0, at(0, false, "A"), 1e-12)
	require.InDelta(t, 1, at(7, false, "A"), 1e-12)
}

// Right forecasts of a few whole casts have uniform places.
func TestPlacesOfRightForecastsAreUniform(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	geometric := func() float64 { return 1 + math.Floor(rng.ExpFloat64()/0.35) }
	draws := make([]float64, 4000)
	for i := range draws {
		draws[i] = geometric()
	}
	slices.Sort(draws)
	var places []place
	for i := range 8000 {
		l := Life{Mold: fmt.Sprint(i), Came: geometric(), Ended: true}
		places = append(places, place{placeOf(draws, l), true, l.Mold})
	}
	for _, level := range levels() {
		require.InDelta(t, level, limitOf(places).within(level), 0.025)
	}
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
