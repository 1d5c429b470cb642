package hindcast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

// By hand: mold A, forecast twice, mold B once. Pinball losses of the points 10, 50
// and 90 % all at 10 or all at 12, when 12 come: (0.1 + 0.5 + 0.9)·2/3 = 1 and 0.
func TestComparisonByHand(t *testing.T) {
	at := func(mold string, origin int, point, came float64, ended bool) Life {
		return Life{Mold: mold, Origin: tables.Date(origin), P10: point, P50: point, P90: point, Came: came, Ended: ended}
	}
	first := Answer{Lives: []Life{at("A", 1, 10, 12, true), at("A", 2, 10, 12, true), at("B", 1, 12, 12, true), at("C", 1, 10, 20, false), at("D", 1, 30, 20, false)}}
	second := Answer{Lives: []Life{at("A", 1, 12, 12, true), at("A", 2, 12, 12, true), at("B", 1, 12, 12, true), at("C", 1, 12, 20, false), at("D", 1, 12, 20, false), at("E", 1, 3, 3, true)}}
	c := Compare(first, second)
	require.Equal(t, 4, c.Forecasts, "C outlived both forecasts; D one of them only; E stands in one replay")
	require.Equal(t, 3, c.Molds)
	require.InDelta(t, 0.75, c.Gain, 1e-12) // (1 + 1 + 0 + 1)/4
	// By molds: A ½, B −¾, C ¼.
	require.InDelta(t, math.Sqrt((0.25+0.5625+0.0625)*3/2)/4, c.StdError, 1e-12)
	require.Equal(t, EvenByChance, c.Verdict(), "three molds tell nothing")

	back := Compare(second, first)
	require.InDelta(t, -c.Gain, back.Gain, 1e-12)
	require.InDelta(t, c.StdError, back.StdError, 1e-12)
	none := Compare(Answer{}, second)
	require.Equal(t, EvenByChance, none.Verdict())
	require.Zero(t, none.Gain)
}

// Two replays that differ by chance alone are told apart in about one case of twenty;
// one with its points far off in nearly all.
func TestOnlyWhatIsBeyondChanceIsAVerdict(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	verdicts := func(shift float64) (wrong, right int) {
		for range 400 {
			var a, b Answer
			for m := range 30 {
				own := 3 * rng.NormFloat64() // forecasts of one mold fare alike
				for k := range 3 {
					l := Life{Mold: fmt.Sprint(m), Origin: tables.Date(10 + k), Came: 30 + own + 8*rng.NormFloat64(), Ended: true}
					put := func(middle float64) Life {
						l.P10, l.P50, l.P90 = middle-10, middle, middle+10
						return l
					}
					a.Lives = append(a.Lives, put(30+2*rng.NormFloat64()))
					b.Lives = append(b.Lives, put(30+shift+2*rng.NormFloat64()))
				}
			}
			switch Compare(a, b).Verdict() {
			case FirstBetter:
				right++
			case SecondBetter:
				wrong++
			}
		}
		return wrong, right
	}
	second, first := verdicts(0)
	require.Less(t, second+first, 40)
	second, first = verdicts(12)
	require.Zero(t, second)
	require.Greater(t, first, 380)
}
