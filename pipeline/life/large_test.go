package life

import (
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Of a log that is learned from in part, molds outside that part are forecast by their
// own casts: much as if all were learned from, and the answer says so. It does not
// depend on the number of cores.
func TestALargeLogIsLearnedFromInPart(t *testing.T) {
	ages := make([]int, 90)
	for m := range ages {
		ages[m] = 8 + 37*m%40
	}
	s := shelfOf(0, map[int]string{0: "slow", 1: "worn"}, ages...)
	log, _ := history.Build(s, tables.NoDate)
	walls := wall.Run(log, s, wall.Defaults())
	set := quick()
	set.Path = PathStraight
	whole := Run(log, s, walls, set, 1)
	require.NotContains(t, strings.Join(whole.Notes, " "), "learned from")
	set.LearnCasts = len(log.Casts) / 3
	part := Run(log, s, walls, set, 1)
	require.Contains(t, strings.Join(part.Notes, " "), fmt.Sprintf("of the %d casts", len(log.Casts)))
	require.Len(t, part.Remaining, len(whole.Remaining))
	off, outside := 0.0, 0
	for i, r := range part.Remaining {
		w := whole.Remaining[i]
		off += math.Abs(math.Log(r.RemainingP50/w.RemainingP50)) / float64(len(part.Remaining))
		if r.Basis == w.Basis {
			outside++
		}
	}
	require.Less(t, off, 0.12)
	require.Equal(t, len(part.Remaining), outside, "each still goes by its own wall path")

	was := runtime.GOMAXPROCS(1)
	one := Run(log, s, walls, set, 1)
	runtime.GOMAXPROCS(4)
	four := Run(log, s, walls, set, 1)
	runtime.GOMAXPROCS(was)
	require.Equal(t, one.Draws, four.Draws)
	require.Equal(t, fmt.Sprint(one.Remaining), fmt.Sprint(four.Remaining))
}

// Many molds in use share the draws; the points that they tell stay where they were.
func TestManyMoldsInUseHaveFewerDrawsEach(t *testing.T) {
	set := Defaults()
	require.Equal(t, set.Draws, set.drawsEach(500))
	require.Equal(t, 400, set.drawsEach(5000))
	require.Equal(t, leastDraws, set.drawsEach(1_000_000))

	s := shelfOf(0, map[int]string{0: "slow", 1: "worn"}, 60, 50, 40, 30, 20, 10)
	log, _ := history.Build(s, tables.NoDate)
	walls := wall.Run(log, s, wall.Defaults())
	many := Run(log, s, walls, set, 1)
	set.MostDraws = 400 * 4
	few := Run(log, s, walls, set, 1)
	require.Contains(t, strings.Join(few.Notes, " "), "400 points instead of 4000")
	for i, r := range few.Remaining {
		require.Len(t, few.Draws[i], 400)
		m := many.Remaining[i]
		require.InDelta(t, m.RemainingP10, r.RemainingP10, 2)
		require.InDelta(t, m.RemainingP50, r.RemainingP50, 2)
		require.InDelta(t, m.RemainingP90, r.RemainingP90, 2)
	}
}
