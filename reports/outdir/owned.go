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

// owned are the entries that a report folder may hold: for a file nothing, for a
// folder the endings of the files in it.
func owned() map[string][]string {
	return map[string][]string{
		Record: nil, "report.xlsx": nil, "report.html": nil,
		"charts": {".svg", ".png"}, "tables": {".csv", ".parquet"}, "spreadsheets": {".xlsx", ".csv"},
	}
}

// passing reports whether a file is one that systems and spreadsheet programs
// make by themselves, and make again: nobody misses it.
func passing(name string) bool {
	return strings.HasPrefix(name, "~$") || strings.HasPrefix(name, ".~lock.") ||
		slices.Contains([]string{".DS_Store", ".directory", "Thumbs.db", "desktop.ini"}, name) || strings.HasPrefix(name, "._")
}

// mayReplace says whether the place is free, empty, or holds only a report of ours.
func mayReplace(final string) error {
	info, err := os.Stat(final)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("look at %s: %w", final, err)
	}
	if !info.IsDir() {
		return fmt.Errorf("%s is a file; choose a folder for the report", final)
	}
	entries, err := os.ReadDir(final)
	if err != nil {
		return fmt.Errorf("look into %s: %w", final, err)
	}
	entries = slices.DeleteFunc(entries, func(e os.DirEntry) bool { return passing(e.Name()) })
	recorded := slices.ContainsFunc(entries, func(e os.DirEntry) bool { return e.Name() == Record })
	other, err := notOurs(final, entries)
	if err != nil {
		return err
	}
	if other == "" && len(entries) > 0 && !recorded {
		other = "files that are not a report"
	}
	if other != "" {
		return fmt.Errorf("%s holds %s, which a new report would replace; choose a new or empty folder, or move it away", final, other)
	}
	return nil
}

// notOurs is the first entry that is no part of a report, "" where there is none.
func notOurs(final string, entries []os.DirEntry) (string, error) {
	for _, e := range entries {
		endings, known := owned()[e.Name()]
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
