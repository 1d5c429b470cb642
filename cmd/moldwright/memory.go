package main

import (
	"os"
	"runtime/debug"

	"moldwright/pipeline/ingest"
)

const (
	shortRun    = 8 << 20   // bytes of all files of a log, up to which its run is short
	memoryLimit = 900 << 20 // bytes of the process, beyond which memory is cleared in any case
)

// settleMemory has memory cleared away less often where the log is small: its run ends
// before much has gathered, and clearing took about a tenth of its time. A large log is
// read as before; its own size may be above the limit, where clearing would never end.
// Who sets GOGC is not overruled.
func settleMemory(sources []ingest.Source) {
	size := int64(0)
	for _, s := range sources {
		if info, err := os.Stat(s.Path); err == nil && info.Mode().IsRegular() {
			size += info.Size()
		}
	}
	if size > shortRun || os.Getenv("GOGC") != "" {
		return
	}
	debug.SetGCPercent(400)
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memoryLimit)
	}
}
