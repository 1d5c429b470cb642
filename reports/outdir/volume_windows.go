package outdir

import "path/filepath"

// ownVolume reports whether a path is that of a drive.
func ownVolume(path string) bool { return path == filepath.Dir(path) }
