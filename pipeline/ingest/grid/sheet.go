package grid

import (
	"moldwright/pipeline/ingest/quantity"
	"unicode/utf8"
)

// Limits of what is read. Each overstepping is a problem, none a crash.
const (
	MaxFileBytes = 1 << 30    // size of one file
	MaxColumns   = 2_000      // columns of a sheet; content to the right of them is told of
	MaxRows      = 1_048_576  // rows of a sheet, as spreadsheet programs have them
	MaxCells     = 30_000_000 // cells of a sheet up to its last used column, empty ones included
	MaxCellText  = 32_767     // characters of a cell, as spreadsheet programs have them
)

// Sheet is one sheet as read: the text of its cells, without meaning.
type Sheet struct {
	Name   string // "" for CSV
	Hidden bool
	Rows   []Row // rows with any content, top to bottom

	Text         bool               // a text file: numbers are as people wrote them
	cells        int                // cells seen so far, empty ones included
	Date1904     bool               // serial dates count from 1904
	Semicolons   bool               // a CSV file with semicolons, whose decimals are mostly commas
	HiddenRows   int                // rows with content that the spreadsheet hides
	WiderRows    int                // rows with content beyond maxColumns
	RowsBeyond   int                // rows with content beyond maxRows or maxCells: counted, not held
	Stop         Stop               // where reading broke off, and why
	BrokenQuotes []int              // rows whose quotation mark was not closed
	Parts        Part               // the stored form of a workbook's sheet, for a second look
	Styles       func(int) StoredAs // meaning of the number formats of a workbook; nil for CSV
	Why          string             // why there is nothing to look at: a chart, a macro sheet
}

// Stop is where reading of a sheet broke off; the zero stop: it did not.
type Stop struct {
	Row int
	Why string
}

// Row is a row with content.
type Row struct {
	Number int // as the spreadsheet program counts, from 1
	Cells  []string
}

// add keeps a row if it has content, within the limits.
func (s *Sheet) add(number int, cells []string) {
	s.cells += len(cells)
	for len(cells) > 0 && quantity.Clean(cells[len(cells)-1]) == "" {
		cells = cells[:len(cells)-1]
	}
	if len(cells) == 0 {
		return
	}
	if len(cells) > MaxColumns {
		s.WiderRows++
		cells = append([]string(nil), cells[:MaxColumns]...)
	}
	if number > MaxRows || s.cells > MaxCells {
		s.RowsBeyond++
		return
	}
	s.Rows = append(s.Rows, Row{number, cells})
}

// Cell is the text of a cell without surrounding space, "" beyond the row's end.
func (r Row) Cell(at int) string {
	if at >= len(r.Cells) {
		return ""
	}
	return quantity.Clean(r.Cells[at])
}

// TooLong reports whether a cell holds more text than spreadsheet programs allow.
func TooLong(s string) bool {
	return len(s) > MaxCellText && utf8.RuneCountInString(s) > MaxCellText
}

// Letters is the name of a column: 0 is A, 26 is AA.
func Letters(at int) string {
	var b []byte
	for at++; at > 0; at = (at - 1) / 26 {
		b = append([]byte{byte('A' + (at-1)%26)}, b...)
	}
	return string(b)
}
