package chunks

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestEachThingIsDoneOnce(t *testing.T) {
	for _, cores := range []int{1, 3} {
		was := runtime.GOMAXPROCS(cores)
		for _, n := range []int{0, 1, 7, 8, 9, 100} {
			seen := make([]int, n)
			Each(n, 8, func(chunk, from, to int) {
				require.Equal(t, chunk*8, from)
				for i := from; i < to; i++ {
					seen[i]++
				}
			})
			for _, s := range seen {
				require.Equal(t, 1, s)
			}
		}
		runtime.GOMAXPROCS(was)
	}
}

func TestChunksComeInOrderAndStop(t *testing.T) {
	var got []int
	InOrder(100, 7, func(from, _ int) int { return from }, func(from int) bool {
		got = append(got, from)
		return len(got) < 5
	})
	require.Equal(t, []int{0, 7, 14, 21, 28}, got)
	InOrder(0, 7, func(from, _ int) int { return from }, func(int) bool { t.Fatal("nothing to take"); return true })
}
