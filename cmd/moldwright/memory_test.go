package main

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMemoryHasRoomAboveWhatIsInUse(t *testing.T) {
	require.EqualValues(t, memoryLimit, limitFor(0))
	require.EqualValues(t, memoryLimit, limitFor(860<<20))
	last := int64(0)
	for used := int64(0); used < 64<<30; used += 64 << 20 {
		limit := limitFor(used)
		require.GreaterOrEqual(t, limit, last)
		require.Greater(t, limit, used+used/13)
		last = limit
	}
	require.Greater(t, last, int64(85<<30), "a third is free where much is in use")
	runtime.GC()
	require.Positive(t, inUse())
}
