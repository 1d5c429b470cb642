// Package outdir makes a report folder appear whole or not at all: everything
// is written into a folder beside the final place, which takes its name when
// complete. An interrupted run leaves the former folder as it was.
package outdir

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Record is the file whose presence marks a folder as a report of ours.
const Record = "run.json"

// Kind is what a folder holds. A folder is replaced by one of its kind only.
type Kind string

const (
	Report Kind = "report"
	Plan   Kind = "plan"
)

// ours are the entries that a folder of the kind may hold.
func (k Kind) ours() []string {
	common := []string{Record, "charts", "tables"}
	if k == Plan {
		return append(common, "plan.xlsx", "plan.html", "plan.ics")
	}
	return append(common, "report.xlsx", "report.html", "run_plan.ics", "spreadsheets")
}

// Staging is a report or plan being written.
type Staging struct {
	final string
	dir   string
	kind  Kind
}

// Check says whether Begin would refuse the place for what it holds. It changes nothing.
func Check(out string, kind Kind) error {
	final, err := place(out)
	if err != nil {
		return err
	}
	return mayReplace(final, kind)
}

// place is the absolute place behind all symbolic links.
func place(out string) (string, error) {
	final, err := filepath.Abs(out)
	if err != nil {
		return "", fmt.Errorf("output folder %s: %w", out, err)
	}
	if real, err := filepath.EvalSymlinks(final); err == nil {
		final = real
	}
	return final, nil
}

// Begin makes the folder to write into. It fails where the final place holds
// something that is no output of ours of that kind, so that nobody's files are replaced.
func Begin(out string, kind Kind) (*Staging, error) {
	final, err := place(out)
	if err != nil {
		return nil, err
	}
	if err := mayReplace(final, kind); err != nil {
		return nil, err
	}
	parent := filepath.Dir(final)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return nil, fmt.Errorf("make the folder %s: %w; choose a place where you may write", parent, err)
	}
	clearLitter(final)
	s := &Staging{final: final, kind: kind, dir: beside(final, unfinished, os.Getpid())}
	if err := os.Mkdir(s.dir, 0o755); err != nil {
		return nil, fmt.Errorf("write beside %s: %w; choose a place where you may write", final, err)
	}
	return s, nil
}

// Dir is the folder to write into.
func (s *Staging) Dir() string { return s.dir }

// Final is the absolute place where the folder will appear.
func (s *Staging) Final() string { return s.final }

// Discard removes what was written. It does nothing after Land.
func (s *Staging) Discard() {
	if s.dir != "" {
		os.RemoveAll(s.dir)
		s.dir = ""
	}
}

// Land gives the folder its final name, in place of a former report.
func (s *Staging) Land() error {
	if err := mayReplace(s.final, s.kind); err != nil {
		return err
	}
	former := beside(s.final, formerly, os.Getpid())
	if err := swap(s.dir, s.final, former); err != nil {
		return fmt.Errorf("put the "+string(s.kind)+" in place: %w; close programs that have files of %s open, then run again", err, s.final)
	}
	s.dir = ""
	if err := os.RemoveAll(former); err != nil {
		return fmt.Errorf("the "+string(s.kind)+" is in place, but the former one could not be removed: %w", err)
	}
	return nil
}

// Names of the folders that stand beside the final place for a while.
const (
	unfinished = "unfinished"
	formerly   = "former"
)

func beside(final, role string, pid int) string {
	return filepath.Join(filepath.Dir(final), "."+filepath.Base(final)+"."+role+"-"+strconv.Itoa(pid))
}

// clearLitter removes what a killed run left beside the final place. Folders
// of runs that still go on are kept.
func clearLitter(final string) {
	entries, err := os.ReadDir(filepath.Dir(final))
	if err != nil {
		return // whoever writes next will say so
	}
	for _, role := range []string{unfinished, formerly} {
		prefix := "." + filepath.Base(final) + "." + role + "-"
		for _, e := range entries {
			pid, err := strconv.Atoi(strings.TrimPrefix(e.Name(), prefix))
			if err == nil && strings.HasPrefix(e.Name(), prefix) && e.IsDir() && !running(pid) {
				os.RemoveAll(filepath.Join(filepath.Dir(final), e.Name()))
			}
		}
	}
}

// mayReplace says whether the place is free, empty, or holds only an output of
// ours of that kind.
func mayReplace(final string, kind Kind) error {
	info, err := os.Stat(final)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("look at %s: %w", final, err)
	}
	if !info.IsDir() {
		return fmt.Errorf("%s is a file; choose a folder for the %s", final, kind)
	}
	entries, err := os.ReadDir(final)
	if err != nil {
		return fmt.Errorf("look into %s: %w", final, err)
	}
	var others []string
	recorded := false
	for _, e := range entries {
		recorded = recorded || e.Name() == Record
		if !slices.Contains(kind.ours(), e.Name()) && !strings.HasPrefix(e.Name(), ".") && !strings.HasPrefix(e.Name(), "~$") {
			others = append(others, e.Name())
		}
	}
	if len(others) > 0 || (len(entries) > 0 && !recorded) {
		what := "files that are not a " + string(kind)
		if len(others) > 0 {
			what = others[0]
		}
		return fmt.Errorf("%s holds %s, which a new %s would replace; choose a new or empty folder, or move it away", final, what, kind)
	}
	return nil
}
