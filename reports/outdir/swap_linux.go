package outdir

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/unix"
)

// swap gives next the name final. Where a former folder is there the kernel
// exchanges the two in one step, so that a report is there at every moment.
func swap(next, final, former string) error {
	if _, err := os.Stat(final); errors.Is(err, fs.ErrNotExist) {
		return os.Rename(next, final)
	}
	err := unix.Renameat2(unix.AT_FDCWD, next, unix.AT_FDCWD, final, unix.RENAME_EXCHANGE)
	if err == nil {
		return os.Rename(next, former)
	}
	return swapInTwoSteps(next, final, former) // not every file system can exchange
}
