package outdir

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"moldwright/pipeline/scratch"
)

// aside is the name of a former report in the folder into which it is put.
const aside = "report"

// swap gives next the name final, and a former report there the name of next or
// none. Where the system can exchange the two in one step a report is there at
// every moment.
func swap(next, final string) error {
	if _, err := os.Lstat(final); errors.Is(err, fs.ErrNotExist) {
		return os.Rename(next, final)
	}
	if exchange(next, final) == nil {
		return nil
	}
	return swapInTwoSteps(next, final) // not every file system can exchange
}

// swapInTwoSteps puts the former folder aside and then the new one in its
// place; if that fails the former one comes back. Should the process be killed
// between the two steps, the next run brings it back.
func swapInTwoSteps(next, final string) error {
	former, err := scratch.Make(filepath.Dir(final), beside(final, formerly), 0o755)
	if err != nil {
		return err
	}
	kept := filepath.Join(former.Path(), aside)
	if err := os.Rename(final, kept); err != nil {
		return errors.Join(err, former.Remove())
	}
	if err := os.Rename(next, final); err != nil {
		if back := os.Rename(kept, final); back != nil {
			former.Release()
			return errors.Join(err, fmt.Errorf("the former report is in %s", kept))
		}
		return errors.Join(err, former.Remove())
	}
	former.Remove() // what can't be removed now, the next run removes
	return nil
}
