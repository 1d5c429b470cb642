package ingest

import (
	"errors"
	"fmt"
)

// ErrNothingUsable is what errors.Is finds in the error of a reading that gave
// no row to work with.
var ErrNothingUsable = errors.New("nothing usable was read")

// NothingUsableError says why a reading gave no row, and how to mend that.
type NothingUsableError struct {
	Message string // one sentence
	Mend    string
}

func (e *NothingUsableError) Error() string { return e.Message + ". " + e.Mend + "." }
func (e *NothingUsableError) Unwrap() error { return ErrNothingUsable }

// Usable reports whether any row can be used.
func (r Reading) Usable() bool {
	_, used, _, _ := r.Rows()
	return used > 0
}

// NothingUsable is nil where some row can be used, and otherwise a
// *NothingUsableError that says in one sentence why none can.
func (r Reading) NothingUsable() error {
	if r.Usable() {
		return nil
	}
	var unreadable, skipped, sheets, tables int
	var why, reason string
	for _, f := range r.Files {
		if f.Unreadable != "" {
			unreadable++
			if why == "" {
				why = f.Name + ": " + f.Unreadable
			}
		}
		if f.Skipped != "" {
			skipped++
		}
		for _, s := range f.Sheets {
			if s.Table != "" {
				tables++
			} else if s.RowsRead > 0 && reason == "" {
				reason = sheetName(f.Name, s.Name) + ": " + s.Why
			}
			if s.RowsRead > 0 {
				sheets++
			}
		}
	}
	_, _, aside, _ := r.Rows()
	template := "Name the columns as in the log template"
	switch {
	case len(r.Files) == unreadable+skipped && unreadable > 0:
		return &NothingUsableError{fmt.Sprintf("None of the files could be read (%d in all; %s)", unreadable, why), "moldwright check says for each file what to do"}
	case aside > 0:
		return &NothingUsableError{fmt.Sprintf("No row can be used: all %d rows of data were set aside", aside), "moldwright check says for each row what is wrong and how to mend it"}
	case tables > 0:
		return &NothingUsableError{"There are headers but no rows below them", "Fill in at least one row of casts or pours"}
	case sheets > 0:
		return &NothingUsableError{fmt.Sprintf("No sheet was recognised as a log (%s)", reason), template}
	case len(r.Files) > skipped:
		return &NothingUsableError{"The files hold no rows", template + " and fill them in"}
	}
	return &NothingUsableError{"No spreadsheet was found (.xlsx, .xlsm, .csv or .tsv; .parquet and .arrow are read too)", "Name a spreadsheet or a folder that holds some"}
}

func sheetName(file, sheet string) string {
	if sheet == "" {
		return file
	}
	return file + ", sheet " + sheet
}
