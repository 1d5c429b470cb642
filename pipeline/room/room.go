// Package room tells the collector of garbage how much memory a run may take.
package room

import (
	"os"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

const (
	limit  = 940 << 20 // bytes of the process, from which memory is cleared at once: with the program itself less than 1 GiB
	seldom = 400       // percent of what is in use that may gather below the limit
	looks  = 100 * time.Millisecond
)

// Settle has memory cleared away less often than Go does by itself, as long as the
// process stays below a limit: clearing took a tenth of the time of a run. Ten million
// casts keep the limit. A log that does not fit under it gets a higher one, as clearing
// would never end otherwise; who sets GOGC or GOMEMLIMIT is not overruled. The function
// that it gives ends all this.
func Settle() (end func()) {
	if os.Getenv("GOMEMLIMIT") != "" {
		return func() {}
	}
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(seldom)
	}
	debug.SetMemoryLimit(limit)
	done := make(chan struct{})
	go func() {
		tick := time.NewTicker(looks)
		defer tick.Stop()
		now := int64(limit)
		for {
			select {
			case <-done:
				return
			case <-tick.C:
				if needed := limitFor(inUse()); needed > now {
					now = needed
					debug.SetMemoryLimit(now)
				}
			}
		}
	}()
	return func() { close(done) }
}

// limitFor is the limit for so many bytes in use: a twelfth of them stays free, and
// beyond the usual limit so much more that clearing takes little of the time.
func limitFor(used int64) int64 {
	return max(limit, used+used/12+max(0, used-limit)/3)
}

// inUse is how many bytes were in use when memory was last cleared.
func inUse() int64 {
	sample := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(sample)
	return int64(sample[0].Value.Uint64())
}
