package room

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMemoryHasRoomAboveWhatIsInUse(t *testing.T) {
	require.EqualValues(t, limit, limitFor(0))
	require.EqualValues(t, limit, limitFor(860<<20))
	last := int64(0)
	for used := int64(0); used < 64<<30; used += 64 << 20 {
		now := limitFor(used)
		require.GreaterOrEqual(t, now, last)
		require.Greater(t, now, used+used/13)
		last = now
	}
	require.Greater(t, last, int64(85<<30), "a third is free where much is in use")
	runtime.GC()
	require.Positive(t, inUse())
}
