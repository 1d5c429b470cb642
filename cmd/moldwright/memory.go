package main

import (
	"os"
	"runtime/debug"
	"runtime/metrics"
	"time"

	"moldwright/pipeline/ingest"
)

const (
	shortRun    = 8 << 20   // bytes of all files of a log, up to which its run is short
	memoryLimit = 940 << 20 // bytes of the process, from which memory is cleared at once: with the program itself less than 1 GiB
	looks       = 100 * time.Millisecond
)

// settleMemory has memory cleared away less often than Go does by itself where the log
// is small: its run ends before much has gathered, and clearing took about a tenth of
// its time. Of a large log it is cleared more often where it would pass the limit,
// which ten million casts keep. A log that does not fit under the limit gets a higher
// one, as clearing would never end otherwise; who sets GOGC or GOMEMLIMIT is not
// overruled. The function that it gives ends all this.
func settleMemory(sources []ingest.Source) func() {
	if os.Getenv("GOGC") == "" && sizeOf(sources) <= shortRun {
		debug.SetGCPercent(400)
	}
	if os.Getenv("GOMEMLIMIT") != "" {
		return func() {}
	}
	debug.SetMemoryLimit(memoryLimit)
	done := make(chan struct{})
	go func() {
		tick := time.NewTicker(looks)
		defer tick.Stop()
		limit := int64(memoryLimit)
		for {
			select {
			case <-done:
				return
			case <-tick.C:
				if needed := limitFor(inUse()); needed > limit {
					limit = needed
					debug.SetMemoryLimit(limit)
				}
			}
		}
	}()
	return func() { close(done) }
}

// limitFor is the limit for so many bytes in use: a twelfth of them stays free, and
// beyond the usual limit so much more that clearing takes little of the time.
func limitFor(used int64) int64 {
	return max(memoryLimit, used+used/12+max(0, used-memoryLimit)/3)
}

// inUse is how many bytes were in use when memory was last cleared.
func inUse() int64 {
	sample := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(sample)
	return int64(sample[0].Value.Uint64())
}

// sizeOf is the bytes of the files, as far as they are files.
func sizeOf(sources []ingest.Source) (size int64) {
	for _, s := range sources {
		if info, err := os.Stat(s.Path); err == nil && info.Mode().IsRegular() {
			size += info.Size()
		}
	}
	return size
}
