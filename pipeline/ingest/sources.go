package ingest

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Source is one file to read.
type Source struct {
	Name string // as shown in outputs, with forward slashes: relative to what the user named
	Path string // where it is read

	refusal   string // why it is not even opened, "" where it is
	formerRun bool   // a folder that an earlier run wrote: told of, not read
}

// Names of the files whose content is read, and of those that are told apart
// from unrelated files because they hold tables in a form that is not read.
var (
	readable = []string{".xlsx", ".xlsm", ".csv", ".tsv", ".parquet", ".arrow", ".feather", ".ipc"}
	foreign  = []string{".xls", ".xlsb", ".xlt", ".ods", ".fods", ".numbers", ".gsheet"}
)

// Find lists the spreadsheets that the paths stand for: files as they are,
// folders with everything below them. Hidden files and the lock files of
// spreadsheet programs in folders are passed over, and each file is listed once
// however often it is reached. The list is sorted by name and does not depend on
// the order of the paths. A path that does not exist is an error.
func Find(paths []string) ([]Source, error) {
	w := walk{folders: map[string]bool{}}
	for _, p := range paths {
		clear(w.folders)
		if err := w.start(p); err != nil {
			return nil, err
		}
	}
	w.nameApart()
	slices.SortStableFunc(w.found, func(a, b located) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Path, b.Path))
	})
	var sources []Source
	seen := map[string]bool{}
	for _, l := range w.found {
		if seen[l.real] {
			continue
		}
		seen[l.real] = true
		sources = append(sources, l.Source)
	}
	return sources, nil
}

// located is a source with what is needed to name it.
type located struct {
	Source
	real  string // the file behind all symbolic links
	full  string // absolute, with forward slashes
	parts int    // how many last parts of full make the name
}

type walk struct {
	found   []located
	folders map[string]bool // real paths of the folders seen below the present path: links may loop, or lead to one folder in a million ways
}

func (w *walk) start(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("there is no file or folder %q: check the spelling, or give the path from where you are", path)
	case err != nil:
		return fmt.Errorf("%q cannot be opened: %w", path, err)
	}
	base := filepath.Base(filepath.Clean(path))
	if !info.IsDir() {
		return w.add(path, 1, refusalOf(base))
	}
	depth := 1
	if base == "." || base == ".." || base == string(filepath.Separator) {
		depth = 0 // such a name tells the reader nothing
	}
	return w.folder(path, depth)
}

// folder lists a folder; depth is the number of path parts from the folder the
// user named down to this one.
func (w *walk) folder(path string, depth int) error {
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		return w.add(path, depth, "the folder cannot be opened: "+plain(err))
	}
	if w.folders[real] {
		return nil
	}
	w.folders[real] = true
	entries, err := os.ReadDir(path)
	if err != nil {
		return w.add(path, depth, "the folder cannot be opened: "+plain(err))
	}
	if writtenByRun(entries) {
		err := w.add(path, depth, "")
		w.found[len(w.found)-1].formerRun = true
		return err
	}
	for _, e := range entries {
		if err := w.entry(filepath.Join(path, e.Name()), depth+1); err != nil {
			return err
		}
	}
	return nil
}

func (w *walk) entry(path string, depth int) error {
	name := filepath.Base(path)
	if strings.HasPrefix(name, ".") || strings.HasPrefix(name, "~$") {
		return nil
	}
	info, err := os.Stat(path)
	if err == nil && info.IsDir() {
		return w.folder(path, depth)
	}
	if !isSheetName(name) {
		return nil
	}
	if err != nil {
		return w.add(path, depth, "the file cannot be opened: "+plain(err))
	}
	return w.add(path, depth, refusalOf(name))
}

func (w *walk) add(path string, parts int, refusal string) error {
	full, err := filepath.Abs(path)
	if err != nil {
		return fmt.Errorf("finding %q: %w", path, err)
	}
	real, err := filepath.EvalSymlinks(full)
	if err != nil {
		real = full
	}
	w.found = append(w.found, located{
		Source: Source{Path: path, refusal: refusal},
		real:   real, full: filepath.ToSlash(full), parts: max(parts, 1),
	})
	return nil
}

// nameApart gives every source its name, and where two different files would
// bear the same one, adds folders before it until they differ.
func (w *walk) nameApart() {
	for {
		files := map[string]map[string]bool{}
		for i := range w.found {
			l := &w.found[i]
			l.Name = lastParts(l.full, l.parts)
			if files[l.Name] == nil {
				files[l.Name] = map[string]bool{}
			}
			files[l.Name][l.real] = true
		}
		longer := false
		for i := range w.found {
			l := &w.found[i]
			if len(files[l.Name]) > 1 && l.Name != l.full {
				l.parts++
				longer = true
			}
		}
		if !longer {
			return
		}
	}
}

func lastParts(full string, n int) string {
	parts := strings.Split(full, "/")
	if n >= len(parts) {
		return full
	}
	return strings.Join(parts[len(parts)-n:], "/")
}

// writtenByRun recognises a folder of results, whose tables of casts would
// otherwise be read as a log a second time.
func writtenByRun(entries []os.DirEntry) bool {
	record, tables := false, false
	for _, e := range entries {
		record = record || e.Name() == "run.json" && !e.IsDir()
		tables = tables || e.Name() == "tables" && e.IsDir()
	}
	return record && tables
}

func isSheetName(name string) bool {
	ext := strings.ToLower(filepath.Ext(name))
	return slices.Contains(readable, ext) || slices.Contains(foreign, ext)
}

// refusalOf says why a file of that name is not read, "" where it is.
func refusalOf(name string) string {
	ext := strings.ToLower(filepath.Ext(name))
	switch {
	case strings.HasPrefix(name, "~$"):
		return "this is the lock file of a spreadsheet that is open elsewhere, not the spreadsheet itself"
	case slices.Contains(foreign, ext):
		return fmt.Sprintf("%s files are not read", ext)
	case !slices.Contains(readable, ext):
		return "this is not a spreadsheet"
	}
	return ""
}

// plain is the reason of a file error without its path.
func plain(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
