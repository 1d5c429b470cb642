package outdir

import (
	"errors"
	"os"
)

// swapInTwoSteps puts the former folder aside and then the new one in its
// place; if that fails the former one comes back.
func swapInTwoSteps(next, final, former string) error {
	if err := os.Rename(final, former); err != nil {
		return err
	}
	if err := os.Rename(next, final); err != nil {
		return errors.Join(err, os.Rename(former, final))
	}
	return nil
}
