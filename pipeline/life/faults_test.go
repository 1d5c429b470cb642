package life

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
)

// Casts without a result are left out; those of one band of ages stand together
// at their mean age.
func TestResultsAreCountedByBandsOfAge(t *testing.T) {
	var casts []history.Cast
	for n := faultBand - 2; n < 2*faultBand+1; n++ {
		casts = append(casts, history.Cast{Age: int32(n), Result: history.Good})
	}
	casts[1].Result, casts[2].Result, casts[7].Result = history.NoResult, history.Reject, history.Second
	rows := faultCounts(casts, 4)
	require.Len(t, rows, 3)
	require.Equal(t, []float64{1, faultBand, 1}, []float64{rows[0].Trials, rows[1].Trials, rows[2].Trials})
	require.Equal(t, []float64{0, 1, 0}, []float64{rows[0].Events, rows[1].Events, rows[2].Events})
	require.InDelta(t, (faultBand+(faultBand-1)/2.0)/faultAge, rows[1].X[1], 1e-12)
	require.Equal(t, 4, rows[0].Unit)
}

// A mold with more rejects than the others is given up earlier; one without results
// is like a new one.
func TestRejectsOfAMoldAreItsOwn(t *testing.T) {
	log := shelf(mold("A", 40, history.StatusInUse, ""), mold("B", 40, history.StatusInUse, ""), mold("C", 0, history.StatusInUse, ""))
	for m := range 2 {
		log.Molds[m].First, log.Molds[m].Last = 40*m, 40*m+40
		for n := range 40 {
			c := history.Cast{Mold: int32(m), Age: int32(n), Result: history.Good}
			if n > 15 && n%(2+5*m) == 0 {
				c.Result = history.Reject
			}
			log.Casts = append(log.Casts, c)
		}
	}
	f := faultsOf(log, []int{0, 1, 2})
	require.NotNil(t, f)
	require.Equal(t, map[int]int{0: 0, 1: 1}, f.unit)
	sound := func(m int) float64 { return soundFor(f.laws(log, m), 40, 7, 0.25)[6] }
	require.Less(t, sound(0), sound(1)-0.1)
	require.Less(t, sound(0), sound(2)-0.1)

	// A mold that was not learned from is judged by its own results, by what the others tell.
	f = faultsOf(log, []int{1, 2})
	require.Less(t, sound(0), sound(1)-0.05)
}

// The chances not to be given up for faults are those of draws of the mold's log odds.
// One of the 64 points of the posterior is worth 0.016, and between every fourth cast
// the chances are taken as straight.
func TestChancesOfFaultsAreThoseOfDraws(t *testing.T) {
	log := shelf(mold("A", 40, history.StatusInUse, ""), mold("B", 60, history.StatusInUse, ""))
	for m, n := range []int{40, 60} {
		log.Molds[m].First = len(log.Casts)
		for age := range n {
			c := history.Cast{Mold: int32(m), Age: int32(age), Result: history.Good}
			if age > 15 && age%(4+3*m) == 0 {
				c.Result = history.Reject
			}
			log.Casts = append(log.Casts, c)
		}
		log.Molds[m].Last = len(log.Casts)
	}
	f := faultsOf(log, []int{0, 1})
	const draws, limit = 40_000, 0.25
	for m, mold := range log.Molds {
		rng := generator(3, mold.Mold)
		past := make([]float64, 80)
		for range draws {
			beta, own := f.model.DrawUnit(m, rng)
			for j := 1; j < len(past); j++ {
				odds := beta[0] + own
				if later := odds + beta[1]/faultAge*float64(mold.Age+j); odds >= math.Log(limit/(1-limit)) || later >= math.Log(limit/(1-limit)) {
					past[j]++
				}
			}
		}
		for j, chance := range soundFor(f.laws(log, m), mold.Age, len(past), limit) {
			require.InDelta(t, 1-past[j]/draws, chance, 0.02, "mold %d, %d casts on", m, j)
		}
	}
}
