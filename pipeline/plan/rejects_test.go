package plan

import (
	"math"
	"math/bits"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/stats/logistic"
)

// Casts stepped over or drawn one by one: each gives no piece with its own chance,
// whatever the one before it gave.
func TestCastsFailWithTheirOwnChances(t *testing.T) {
	for _, c := range []struct{ logOdds, rise, kept float64 }{{-4, 1, 1}, {-2, -1, 0.97}, {-3, 2.5, 0.9}, {0, 0.5, 1}} {
		const draws, from, to = 200_000, 3, 70
		r := &rejects{drawn: []logistic.Drawn{{Beta: []float64{0, c.rise}}}}
		rng := (&world{seed: 9}).stream("casts")
		var lost [to]float64
		both, words := 0.0, make([]uint64, 2)
		for range draws {
			clear(words)
			r.cast(words, from, to, c.logOdds, 0, c.kept, rng)
			require.Zero(t, words[0]&7)
			require.Zero(t, words[1]>>(to-64))
			for k := from; k < to; k++ {
				lost[k] += 1 - float64(words[k>>6]>>(k&63)&1)
			}
			bad := ^words[0] >> from
			both += float64(bits.OnesCount64(bad & (bad << 1) &^ 1 << from >> from))
		}
		pairs := 0.0
		chance := func(k int) float64 { return 1 - c.kept/(1+math.Exp(c.logOdds+c.rise/rejectAge*float64(k))) }
		for k := from; k < to; k++ {
			p := chance(k)
			require.InDelta(t, p, lost[k]/draws, 5*math.Sqrt(p*(1-p)/draws), "cast %d of %+v", k, c)
			if k > from && k < 64 {
				pairs += p * chance(k-1)
			}
		}
		require.InEpsilon(t, pairs, both/draws, 0.05, "two in a row, %+v", c)
	}
}
