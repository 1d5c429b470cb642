package outdir

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Kind is what a folder holds. A folder is replaced by one of its kind only.
type Kind string

const (
	Report Kind = "report"
	Plan   Kind = "plan"
)

// owned are the entries that a folder of the kind may hold: for a file nothing,
// for a folder the endings of the files in it.
func (k Kind) owned() map[string][]string {
	entries := map[string][]string{Record: nil, "charts": {".svg", ".png"}, "tables": {".csv", ".parquet"}}
	files := []string{"report.xlsx", "report.html", "run_plan.ics"}
	if k == Plan {
		files = []string{"plan.xlsx", "plan.html", "plan.ics"}
	} else {
		entries["spreadsheets"] = []string{".xlsx", ".csv"}
	}
	for _, f := range files {
		entries[f] = nil
	}
	return entries
}

// passing reports whether a file is one that systems and spreadsheet programs
// make by themselves, and make again: nobody misses it.
func passing(name string) bool {
	return strings.HasPrefix(name, "~$") || strings.HasPrefix(name, ".~lock.") ||
		slices.Contains([]string{".DS_Store", ".directory", "Thumbs.db", "desktop.ini"}, name) || strings.HasPrefix(name, "._")
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
	entries = slices.DeleteFunc(entries, func(e os.DirEntry) bool { return passing(e.Name()) })
	recorded := slices.ContainsFunc(entries, func(e os.DirEntry) bool { return e.Name() == Record })
	other, err := kind.foreign(final, entries)
	if err != nil {
		return err
	}
	if other == "" && len(entries) > 0 && !recorded {
		other = "files that are not a " + string(kind)
	}
	if other != "" {
		return fmt.Errorf("%s holds %s, which a new %s would replace; choose a new or empty folder, or move it away", final, other, kind)
	}
	return nil
}

// foreign is the first entry that is no part of such an output, "" where there is none.
func (k Kind) foreign(final string, entries []os.DirEntry) (string, error) {
	ours := k.owned()
	for _, e := range entries {
		endings, known := ours[e.Name()]
		switch {
		case !known, e.IsDir() != (endings != nil), e.Type()&fs.ModeSymlink != 0:
			return e.Name(), nil
		case e.IsDir():
			inside, err := os.ReadDir(filepath.Join(final, e.Name()))
			if err != nil {
				return "", fmt.Errorf("look into %s: %w", final, err)
			}
			for _, f := range inside {
				if !passing(f.Name()) && (f.IsDir() || !slices.Contains(endings, filepath.Ext(f.Name()))) {
					return filepath.Join(e.Name(), f.Name()), nil
				}
			}
		}
	}
	return "", nil
}
