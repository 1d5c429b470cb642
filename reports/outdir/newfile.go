package outdir

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"moldwright/pipeline/scratch"
)

// NewFile writes a file that must not be there yet, whole or not at all.
func NewFile(path string, data []byte) error {
	full, err := filepath.Abs(path)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if why := Unfit(filepath.Base(full)); why != "" && onWindows {
		return fmt.Errorf("%s cannot be a file's name: %s; choose another", path, why)
	}
	taken := fmt.Errorf("%s is there already and is kept; choose another name", path)
	if _, err := os.Lstat(full); err == nil {
		return taken
	}
	parent, prefix := filepath.Dir(full), beside(full, unfinished)
	scratch.Clear(parent, prefix)
	dir, err := scratch.Make(parent, prefix, 0o755)
	if err != nil {
		return fmt.Errorf("write %s: %w; choose a folder that is there and where you may write", path, err)
	}
	defer dir.Remove()
	half := filepath.Join(dir.Path(), filepath.Base(full))
	if err := os.WriteFile(half, data, 0o644); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	// A second name can't take another file's place, however short the moment is;
	// not every file system knows second names.
	err = os.Link(half, full)
	if err == nil {
		return nil
	}
	if errors.Is(err, fs.ErrExist) {
		return taken
	}
	if _, err := os.Lstat(full); err == nil {
		return taken
	}
	if err := os.Rename(half, full); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return nil
}
