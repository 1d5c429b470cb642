package life

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
)

// Casts without a result are left out; those of one band of five ages stand together
// at their mean age.
func TestResultsAreCountedByBandsOfAge(t *testing.T) {
	var casts []history.Cast
	for n := 3; n < 11; n++ {
		casts = append(casts, history.Cast{Age: int32(n), Result: history.Good})
	}
	casts[1].Result, casts[2].Result, casts[7].Result = history.NoResult, history.Reject, history.Second
	rows := faultCounts(casts, 4)
	require.Len(t, rows, 3)
	require.Equal(t, []float64{1, 5, 1}, []float64{rows[0].Trials, rows[1].Trials, rows[2].Trials})
	require.Equal(t, []float64{0, 1, 0}, []float64{rows[0].Events, rows[1].Events, rows[2].Events})
	require.InDelta(t, 7.0/faultAge, rows[1].X[1], 1e-12)
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
	f := faultsOf(log)
	require.NotNil(t, f)
	require.Equal(t, []int{0, 1, -1}, f.unit)
	early := func(m int) int {
		rng, n := generator(2, "faults"), 0
		for range 2000 {
			if f.draw(m, 0.25, rng) <= 45 {
				n++
			}
		}
		return n
	}
	require.Greater(t, early(0), early(1)+200)
	require.Greater(t, early(0), early(2)+200)
}
