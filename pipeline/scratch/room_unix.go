//go:build linux || darwin

package scratch

import "golang.org/x/sys/unix"

// Room is how many bytes can still be written where a folder lies; known is false
// where the system doesn't tell.
func Room(folder string) (bytes uint64, known bool) {
	var s unix.Statfs_t
	if err := unix.Statfs(folder, &s); err != nil {
		return 0, false
	}
	return s.Bavail * uint64(s.Bsize), true
}
