package ingest

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits of what is read. Each overstepping is a problem, none a crash.
const (
	maxFileBytes = 1 << 30    // size of one file
	maxColumns   = 2_000      // columns of a sheet; content to the right of them is told of
	maxRows      = 1_048_576  // rows of a sheet, as spreadsheet programs have them
	maxCells     = 30_000_000 // cells of a sheet up to its last used column, empty ones included
	maxCellText  = 32_767     // characters of a cell, as spreadsheet programs have them
)

// sheet is one sheet as read: the text of its cells, without meaning.
type sheet struct {
	name   string // "" for CSV
	hidden bool
	rows   []sheetRow // rows with any content, top to bottom

	csv          bool               // a text file: numbers are as people wrote them
	cells        int                // cells seen so far, empty ones included
	date1904     bool               // serial dates count from 1904
	semicolons   bool               // a CSV file with semicolons, whose decimals are mostly commas
	hiddenRows   int                // rows with content that the spreadsheet hides
	widerRows    int                // rows with content beyond maxColumns
	rowsBeyond   int                // rows with content beyond maxRows or maxCells: counted, not held
	stop         stop               // where reading broke off, and why
	brokenQuotes []int              // rows whose quotation mark was not closed
	parts        sheetPart          // the stored form of a workbook's sheet, for a second look
	styles       func(int) storedAs // meaning of the number formats of a workbook; nil for CSV
	why          string             // why there is nothing to look at: a chart, a macro sheet
}

// stop is where reading of a sheet broke off; the zero stop: it did not.
type stop struct {
	row int
	why string
}

// sheetRow is a row with content.
type sheetRow struct {
	number int // as the spreadsheet program counts, from 1
	cells  []string
}

// add keeps a row if it has content, within the limits.
func (s *sheet) add(number int, cells []string) {
	s.cells += len(cells)
	for len(cells) > 0 && clean(cells[len(cells)-1]) == "" {
		cells = cells[:len(cells)-1]
	}
	if len(cells) == 0 {
		return
	}
	if len(cells) > maxColumns {
		s.widerRows++
		cells = append([]string(nil), cells[:maxColumns]...)
	}
	if number > maxRows || s.cells > maxCells {
		s.rowsBeyond++
		return
	}
	s.rows = append(s.rows, sheetRow{number, cells})
}

// cell is the text of a cell without surrounding space, "" beyond the row's end.
func (r sheetRow) cell(at int) string {
	if at >= len(r.cells) {
		return ""
	}
	return clean(r.cells[at])
}

// clean takes surrounding space off, the invisible kinds included.
func clean(s string) string {
	if s == "" {
		return s
	}
	if first, last := s[0], s[len(s)-1]; first > ' ' && first < utf8.RuneSelf && last > ' ' && last < utf8.RuneSelf {
		return s
	}
	return strings.TrimFunc(s, func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsControl(r) || r == '\u200b' || r == '\ufeff'
	})
}

// tooLong reports whether a cell holds more text than spreadsheet programs allow.
func tooLong(s string) bool {
	return len(s) > maxCellText && utf8.RuneCountInString(s) > maxCellText
}

// letters is the name of a column: 0 is A, 26 is AA.
func letters(at int) string {
	var b []byte
	for at++; at > 0; at = (at - 1) / 26 {
		b = append([]byte{byte('A' + (at-1)%26)}, b...)
	}
	return string(b)
}
