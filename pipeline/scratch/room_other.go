//go:build !(linux || darwin || windows)

package scratch

// Room is how many bytes can still be written where a folder lies; known is false
// where the system doesn't tell.
func Room(string) (bytes uint64, known bool) { return 0, false }
