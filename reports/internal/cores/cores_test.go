package cores_test

import (
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/reports/internal/cores"
)

func TestEveryPartIsDoneOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 7, 1000} {
		done := make([]atomic.Int64, n)
		cores.Each(n, func(i int) { done[i].Add(1) })
		for i := range done {
			require.EqualValues(t, 1, done[i].Load(), "part %d of %d", i, n)
		}
	}
}

func TestAPanicReachesTheCaller(t *testing.T) {
	require.PanicsWithValue(t, "part 3", func() {
		cores.Each(5, func(i int) {
			if i == 3 {
				panic("part 3")
			}
		})
	})
}
