// Package outdir makes outputs appear whole or not at all: a report folder is
// written beside its final place and takes its name when complete, a single file
// likewise. An interrupted run leaves what was there as it was.
package outdir

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"moldwright/pipeline/scratch"
)

// Record is the file whose presence marks a folder as a report of ours.
const Record = "run.json"

// Staging is a report or plan being written.
type Staging struct {
	final string
	kind  Kind
	dir   *scratch.Dir // nil once it has landed or was given up
}

// Check says whether Begin would refuse the place for what it holds. It changes nothing.
func Check(out string, kind Kind) error {
	final, err := place(out)
	if err != nil {
		return err
	}
	return mayReplace(final, kind)
}

// Begin makes the folder to write into. It fails where the final place holds
// something that is no output of ours of that kind, so that nobody's files are
// replaced, and where a folder can't appear. What a killed run left there is put
// right first.
func Begin(out string, kind Kind) (*Staging, error) {
	final, err := place(out)
	if err != nil {
		return nil, err
	}
	parent := filepath.Dir(final)
	if err := bringBack(final); err != nil {
		return nil, err
	}
	if err := mayReplace(final, kind); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return nil, fmt.Errorf("make the folder %s: %w; choose a place where you may write", parent, err)
	}
	clearLitter(final)
	dir, err := scratch.Make(parent, beside(final, unfinished), 0o755)
	if err != nil {
		return nil, fmt.Errorf("write beside %s: %w; choose a place where you may write", final, err)
	}
	return &Staging{final, kind, dir}, nil
}

// place is the absolute path of out, links followed.
func place(out string) (string, error) {
	final, err := filepath.Abs(out)
	if err != nil {
		return "", fmt.Errorf("output folder %s: %w", out, err)
	}
	if real, err := filepath.EvalSymlinks(final); err == nil {
		final = real
	} else if info, err := os.Lstat(final); err == nil && info.Mode()&fs.ModeSymlink != 0 {
		return "", fmt.Errorf("%s is a link to a place that is not there; remove the link or choose another folder", out)
	} else if parent, err := filepath.EvalSymlinks(filepath.Dir(final)); err == nil {
		final = filepath.Join(parent, filepath.Base(final))
	}
	if why := Unfit(filepath.Base(final)); why != "" && onWindows {
		return "", fmt.Errorf("%s cannot be a folder's name: %s; choose another", out, why)
	}
	if ownVolume(final) {
		return "", fmt.Errorf("%s is a volume of its own (a drive or a mounted folder), whose place no new folder can take; choose a folder inside it, such as %s", final, filepath.Join(final, "report"))
	}
	return final, nil
}

// Dir is the folder to write into.
func (s *Staging) Dir() string { return s.dir.Path() }

// Final is the absolute place where the folder will appear.
func (s *Staging) Final() string { return s.final }

// Discard removes what was written. It does nothing after Land.
func (s *Staging) Discard() {
	if s.dir != nil {
		s.dir.Remove() // what can't be removed now, the next run removes
		s.dir = nil
	}
}

// Land gives the folder its final name, in place of a former report.
func (s *Staging) Land() error {
	if err := mayReplace(s.final, s.kind); err != nil {
		return err
	}
	if err := swap(s.dir.Path(), s.final); err != nil {
		return fmt.Errorf("put the %s in place: %w; close programs that have files of %s open, then run again", s.kind, err, s.final)
	}
	s.Discard() // a former report has the name of the new one now
	return nil
}
