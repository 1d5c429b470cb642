package main

import "runtime/debug"

// memoryLimit, in bytes, keeps a log of 10^7 casts below 1 GiB with the rest of the process.
const memoryLimit = 900 << 20

// setMemory has the garbage collector run less often. A run is short: with a small log
// it ends before much has gathered, and collecting took about a tenth of its time. From
// the limit on it is collected as often as it takes, so that a large log needs no more
// memory than before. Who sets GOGC or GOMEMLIMIT is not overruled.
func setMemory(env func(string) string) {
	if env("GOGC") == "" {
		debug.SetGCPercent(400)
	}
	if env("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memoryLimit)
	}
}
