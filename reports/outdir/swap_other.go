//go:build !linux

package outdir

import (
	"errors"
	"io/fs"
	"os"
)

// swap gives next the name final, putting a former folder aside first.
func swap(next, final, former string) error {
	if _, err := os.Stat(final); errors.Is(err, fs.ErrNotExist) {
		return os.Rename(next, final)
	}
	return swapInTwoSteps(next, final, former)
}
