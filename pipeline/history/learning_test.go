package history

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func logOf(molds, casts int) Log {
	var l Log
	for m := range molds {
		mold := Mold{Mold: fmt.Sprintf("M-%05d", m), Form: fmt.Sprintf("form %d", m%7), Kind: "split", Status: StatusRetired, First: len(l.Casts)}
		if m%25 == 0 {
			mold.Status = StatusInUse
		}
		if m == 13 {
			mold.Form, mold.Kind = "rare", "one-piece"
		}
		for k := range casts {
			l.Casts = append(l.Casts, Cast{Row: int32(len(l.Casts)), Mold: int32(m), Age: int32(k), WallMM: math.NaN()})
		}
		mold.Last, mold.Age = len(l.Casts), casts
		l.Molds = append(l.Molds, mold)
	}
	return l
}

func TestASmallLogLearnsFromAllItsCasts(t *testing.T) {
	l := logOf(10, 5)
	sub, of := l.Learning(50)
	require.Equal(t, len(l.Casts), len(sub.Casts))
	require.Equal(t, []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}, of)
}

func TestALargeLogLearnsFromWholeMoldsOfAllSorts(t *testing.T) {
	l := logOf(2000, 20)
	sub, of := l.Learning(4000)
	require.LessOrEqual(t, len(sub.Casts), 4000)
	require.Greater(t, len(sub.Casts), 3900)
	require.Len(t, of, len(sub.Molds))
	require.True(t, slices.IsSorted(of))
	require.Contains(t, of, 13, "the only mold of its form and kind")
	inUse := 0
	for i, m := range sub.Molds {
		whole := l.Molds[of[i]]
		require.Equal(t, whole.Mold, m.Mold)
		require.Equal(t, 20, m.Last-m.First)
		for k, c := range sub.Casts[m.First:m.Last] {
			require.EqualValues(t, i, c.Mold)
			require.Equal(t, l.Casts[whole.First+k].Row, c.Row)
		}
		if m.InUse() {
			inUse++
		}
	}
	require.GreaterOrEqual(t, inUse, fewMolds, "a few are there")
	require.Less(t, inUse, 3*fewMolds, "but not more than their share of one in 25, or lives would look longer")
	again, _ := l.Learning(4000)
	require.Equal(t, len(sub.Casts), len(again.Casts))
}

func TestWhichMoldsAreLearnedFromDoesNotHangOnTheirOrder(t *testing.T) {
	l := logOf(300, 10)
	back := make([]int, len(l.Molds))
	for i := range back {
		back[i] = len(back) - 1 - i
	}
	names := func(l Log) []string {
		sub, _ := l.Learning(700)
		var out []string
		for _, m := range sub.Molds {
			out = append(out, m.Mold)
		}
		slices.Sort(out)
		return out
	}
	require.Equal(t, names(l), names(l.Of(back)))
}

func TestMoreSortsThanRoomGiveOneOfEachWhileThereIsRoom(t *testing.T) {
	l := logOf(700, 10)
	for m := range l.Molds {
		l.Molds[m].Form = fmt.Sprintf("form %d", m%100)
		l.Molds[m].Status, l.Molds[m].Kind = StatusRetired, "split"
	}
	sub, _ := l.Learning(1000)
	forms := map[string]int{}
	for _, m := range sub.Molds {
		forms[m.Form]++
	}
	require.Len(t, forms, 100)
	require.Len(t, sub.Molds, 100)
}
