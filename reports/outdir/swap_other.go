//go:build !linux && !darwin

package outdir

import "errors"

// exchange is more than this system can do.
func exchange(string, string) error { return errors.ErrUnsupported }
