package outdir

import "golang.org/x/sys/unix"

// exchange lets two folders change names in one step.
func exchange(a, b string) error { return unix.RenamexNp(a, b, unix.RENAME_SWAP) }
