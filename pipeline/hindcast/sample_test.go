package hindcast

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// A small log is replayed whole; of a large one about so many casts of whole molds of
// the last four lives, a good part of which are in use at the end.
func TestALargeLogIsReplayedOnRecentMolds(t *testing.T) {
	s := shelf(1, 2000) // 8,000 casts of lives of some 30 days, 4 molds at a time
	log, _ := history.Build(s, tables.NoDate)
	require.Len(t, Sample(log, len(log.Casts)).Casts, len(log.Casts))
	some := Sample(log, 300)
	require.LessOrEqual(t, len(some.Casts), 300)
	require.Greater(t, len(some.Casts), 200)
	for _, m := range some.Molds {
		last := some.Casts[m.Last-1].Date
		require.GreaterOrEqual(t, last, log.AsOf-tables.Date(livesReplayed*medianLife(log)))
	}
	many := Sample(log, 4000)
	require.Greater(t, len(many.Casts), 3900, "where the last lives do not fill it, molds of all times do")
	require.Equal(t, some.Molds, Sample(log, 300).Molds)
}

func TestLotsAreEven(t *testing.T) {
	below := 0
	for i := range 4000 {
		if lot(string(rune('A'+i%26))+string(rune('0'+i/26%10))+string(rune('a'+i/260))) < 0.25 {
			below++
		}
	}
	require.InDelta(t, 1000, below, 120)
}
