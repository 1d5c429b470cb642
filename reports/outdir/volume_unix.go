//go:build unix

package outdir

import (
	"os"
	"path/filepath"
	"syscall"
)

// ownVolume reports whether a folder lies on another volume than the one it is
// in, so that no other folder can take its place. Where it can't be told, the
// attempt tells.
func ownVolume(path string) bool {
	inside, err := os.Stat(path)
	if err != nil {
		return false
	}
	outside, err := os.Stat(filepath.Dir(path))
	if err != nil {
		return false
	}
	a, ok := inside.Sys().(*syscall.Stat_t)
	b, ok2 := outside.Sys().(*syscall.Stat_t)
	return path == filepath.Dir(path) || ok && ok2 && a.Dev != b.Dev
}
