package ingest

import (
	"cmp"
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
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
	defer sparing(sources)()
	r := &reader{opt: opt, shelves: newShelves(), byHash: map[string]string{}, today: tables.NoDate}
	if !opt.Today.IsZero() {
		r.today = tables.DateOf(opt.Today)
	}
	r.ahead = newAhead(ctx, sources)
	defer r.ahead.end()
	for i, src := range sources {
		r.turn = i
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

// muchToRead is the size in bytes of all files from which memory is spared at the
// price of some time: what a large log leaves behind is cleared away sooner.
const muchToRead = 64 << 20

// sparing has memory cleared away sooner while large files are read. The function
// that it gives ends that.
func sparing(sources []Source) func() {
	size := int64(0)
	for _, src := range sources {
		size += sizeOf(src.Path)
	}
	if size < muchToRead {
		return func() {}
	}
	before := debug.SetGCPercent(20)
	return func() {
		runtime.GC()
		debug.SetGCPercent(before)
	}
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
	ahead    *ahead            // what opens the files
	turn     int               // number of the file that is read
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
	case strings.Contains(why, "damaged") && grid.IsColumnar(name):
		return "copy the file again, or write it anew"
	case strings.Contains(why, "encrypted"):
		return "write it without encryption"
	case strings.Contains(why, "first version of Feather"), strings.Contains(why, "compressed in a way"):
		return "write it anew as Parquet with the usual compression (Snappy, Zstandard or none)"
	case strings.Contains(why, "Parquet file"), strings.Contains(why, "Arrow file"), strings.Contains(why, "more than is read"), strings.Contains(why, "claims to hold"), strings.Contains(why, "description of itself"):
		return "write it anew as Parquet, with the ending .parquet, or as CSV"
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
		return "name spreadsheets (.xlsx, .xlsm, .csv, .tsv), Parquet or Arrow files (.parquet, .arrow, .feather, .ipc) or folders of them"
	case strings.Contains(why, "line of more than"):
		return "look whether it is a log at all; export it as CSV again, a line for each row"
	case strings.Contains(why, "cannot be opened"), strings.Contains(why, "not a regular"), strings.Contains(why, "larger than"):
		return "look at " + name + " and who may read it; split it if it is too large"
	}
	return save
}
