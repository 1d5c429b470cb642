package ingest

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// Result is all that came of a reading.
type Result struct {
	Studio   tables.Studio // release it after use
	Reading  Reading
	Problems []tables.Problem // by file, sheet, row and column
}

// Read reads the sources, in the order of their names. What is wrong with the
// files is in the result; the error is for a cancelled context, a machine
// without room, or an account that does not close. Where the result is of no
// use, Reading.NothingUsable says so.
func Read(ctx context.Context, sources []Source, opt Options) (Result, error) {
	sources = slices.Clone(sources)
	slices.SortStableFunc(sources, func(a, b Source) int { return cmp.Compare(a.Name, b.Name) })
	r := &reader{opt: opt, shelves: newShelves(), byHash: map[string]string{}, today: tables.NoDate}
	if !opt.Today.IsZero() {
		r.today = tables.DateOf(opt.Today)
	}
	for _, src := range sources {
		if err := ctx.Err(); err != nil {
			return Result{}, err
		}
		if opt.Progress != nil {
			opt.Progress("reading " + src.Name)
		}
		if err := r.source(ctx, src); err != nil {
			return Result{}, fmt.Errorf("reading %s: %w", src.Name, err)
		}
	}
	r.unusedMapping()
	r.crosscheck()
	for _, a := range r.sheets {
		if err := a.fill(&r.problems.files[a.file].Sheets[a.sheet]); err != nil {
			return Result{}, err
		}
	}
	return Result{
		Studio:   r.shelves.studio(r.blocks),
		Reading:  Reading{Files: r.problems.files},
		Problems: r.problems.sorted(),
	}, nil
}

// reader is one reading under way.
type reader struct {
	opt      Options
	today    tables.Date
	problems problems
	shelves  shelves
	accounts accounts
	sheets   []*account
	blocks   tables.Blocks
	byHash   map[string]string // SHA-256 to the name of the file first seen with it
}

// source reads one file.
func (r *reader) source(ctx context.Context, src Source) error {
	file := len(r.problems.files)
	r.problems.files = append(r.problems.files, File{Name: src.Name, Path: src.Path})
	f := &r.problems.files[file]
	if src.formerRun {
		r.problems.files[file].Skipped = "a folder of results of an earlier run"
		r.tell(file, CodeFormerRun, tables.Notice, "this folder holds the results of an earlier run, and is not read as a log", "keep logs and results in different folders")
		return nil
	}
	data, why := load(src)
	if why != "" {
		r.refuse(file, why)
		return nil
	}
	sum := make(chan [sha256.Size]byte, 1)
	go func() { sum <- sha256.Sum256(data) }()
	b, err := grid.Open(ctx, src.Path, data, columnsKnown)
	hash := <-sum
	if err != nil {
		return err
	}
	f.SHA256, f.Bytes = hex.EncodeToString(hash[:]), int64(len(data))
	if first, seen := r.byHash[f.SHA256]; seen {
		f.Skipped = "the same as " + first
		r.tell(file, CodeDuplicateFile, tables.Notice, fmt.Sprintf("the file is byte for byte the same as %s and was read only once", first), "remove one of them")
		return nil
	}
	r.byHash[f.SHA256] = src.Name
	if b.Unreadable != "" {
		r.refuse(file, b.Unreadable)
		return nil
	}
	if b.Encoding != "" {
		r.tell(file, CodeEncodingInferred, tables.Notice, fmt.Sprintf("the file does not say how its letters are written; %s was assumed", b.Encoding), "look at names with accents; to be sure, save the file as CSV UTF-8")
	}
	return r.book(ctx, file, b)
}

func (r *reader) tell(file int, code, severity, message, mend string) {
	r.problems.add(place{file: file, sheet: -1, col: -1}, tables.Problem{Code: code, Severity: severity, Message: message, Mend: mend})
}

// refuse records a file that cannot be read.
func (r *reader) refuse(file int, why string) {
	r.problems.files[file].Unreadable = why
	r.tell(file, CodeUnreadableFile, tables.SetAside, why, howToMend(why, r.problems.files[file].Name))
}

// howToMend says what to do with a file that cannot be read.
func howToMend(why, name string) string {
	save := "open it in your spreadsheet program and save it as .xlsx (File, Save as, Excel workbook)"
	switch {
	case strings.Contains(why, "while it was read"):
		return "save and close it where it is open, wait until it is copied or synchronised, then run again"
	case strings.Contains(why, "password"):
		return "open it with its password and save a copy without one"
	case strings.Contains(why, "lock file"):
		return "name the spreadsheet itself"
	case strings.Contains(why, "empty"):
		return "look whether the file was copied completely, or leave it out"
	case strings.Contains(why, "damaged"):
		return "copy or download the file again; if it opens in your spreadsheet program, save it anew as .xlsx"
	case strings.Contains(why, "not a text file"), strings.Contains(why, "name of a text file"):
		return save + ", or export it as CSV"
	case strings.Contains(why, "not a spreadsheet"):
		return "name spreadsheets (.xlsx, .xlsm, .csv, .tsv) or folders of them"
	case strings.Contains(why, "line of more than"):
		return "look whether it is a log at all; export it as CSV again, a line for each row"
	case strings.Contains(why, "cannot be opened"), strings.Contains(why, "not a regular"), strings.Contains(why, "larger than"):
		return "look at " + name + " and who may read it; split it if it is too large"
	}
	return save
}
