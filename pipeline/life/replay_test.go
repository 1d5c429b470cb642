package life

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTheReplayChoosesWhereEnoughIsDecided(t *testing.T) {
	few, enough := LeastDecided-1, LeastDecided
	for _, c := range []struct {
		straight, wandering Replayed
		path                Path
		says                string
	}{
		{Replayed{0, math.NaN()}, Replayed{0, math.NaN()}, PathByData, ""},
		{Replayed{few, 2}, Replayed{few, 1}, PathByData, "39 are decided, and 40 are needed"},
		{Replayed{enough, 2.5}, Replayed{enough, 1.25}, PathWandering, "Paths are wandering because"},
		{Replayed{enough, 1.25}, Replayed{enough, 2.5}, PathStraight, "over 40 decided forecasts their mean loss is 1.25 casts, that of wandering paths 2.50 casts"},
		{Replayed{enough, 2}, Replayed{enough, 2}, PathByData, "alike"},
		{Replayed{enough, 2}, Replayed{enough + 1, 1}, PathByData, "alike"},
		{Replayed{enough, math.NaN()}, Replayed{enough, 1}, PathByData, "alike"},
	} {
		path, why := PathByReplay(c.straight, c.wandering)
		require.Equal(t, c.path, path)
		require.Contains(t, why, c.says)
		require.Equal(t, c.says == "", why == "")
	}
}

func TestTheReplaysReasonIsInTheNotes(t *testing.T) {
	s := shelfOf(0, nil, 30, 25, 20, 15)
	set := quick()
	set.Path, set.PathWhy = PathByReplay(Replayed{60, 3}, Replayed{60, 2})
	ans := answered(s, set)
	require.True(t, ans.Wandering)
	require.Contains(t, ans.Notes, set.PathWhy)
}
