package grid

import (
	"unicode/utf8"

	"moldwright/pipeline/ingest/quantity"
)

// Limits of what is read. Each overstepping is a problem, none a crash.
const (
	MaxFileBytes = 1 << 30    // size of one file
	MaxColumns   = 16_384     // columns of a sheet, as spreadsheet programs have them; content to the right of them is told of
	MaxRows      = 1_048_576  // rows of a sheet of a workbook, as spreadsheet programs have them
	MaxCells     = 30_000_000 // cells of a sheet of a workbook up to its last used column, empty ones included
	MaxLines     = 1 << 30    // rows of a text file, or of a file of typed columns
	MaxLine      = 16 << 20   // bytes of a line of a text file
	MaxCellText  = 32_767     // characters of a cell, as spreadsheet programs have them
)

// Sheet is one sheet as read: the text of its cells, without meaning. It is kept
// by columns; rows without content are left out.
type Sheet struct {
	Name   string // "" for CSV
	Hidden bool

	numbers RowNumbers // of the rows with any content, top to bottom
	widths  widths
	columns []*column
	weight  int // slots that the columns' pages take

	// Headed says that the sheet is of a file that knows its columns: row 0, with
	// the number 0, holds their names, and the rows below are numbered from 1.
	Headed bool
	heads  []string
	units  []string
	// LeftOut are columns of such a file that are of no type that is read.
	LeftOut []string
	// ReadingsBeyond counts readings beyond those that are read of one cell.
	ReadingsBeyond int
	rows           int                 // of a headed sheet, its names included
	keep           func(string) string // copies a text that is kept, nil where it need not

	Text         bool               // a text file: numbers are as people wrote them
	cells        int                // cells seen so far, empty ones included
	filled       int                // cells with content
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

// Len is the number of rows with content.
func (s *Sheet) Len() int {
	if s.Headed {
		return s.rows
	}
	return s.numbers.rows
}

// Number is the number of row i, from 1 as spreadsheet programs count.
func (s *Sheet) Number(i int) int {
	if s.Headed {
		return i
	}
	return s.numbers.At(i)
}

// Numbers are the numbers of the rows; they have none for a headed sheet.
func (s *Sheet) Numbers() *RowNumbers { return &s.numbers }

// Find gives the place of the row with a number, or of the first one after it.
func (s *Sheet) Find(number int) (i int, ok bool) {
	if s.Headed {
		return min(max(number, 0), s.rows), number >= 0 && number < s.rows
	}
	return s.numbers.Find(number)
}

// Forget gives up the cells of rows from one up to another, as far as they fill
// pages; nobody asks for them any more.
func (s *Sheet) Forget(from, to int) {
	for _, c := range s.columns {
		c.forget(from, to)
	}
}

// ForgetColumn gives up the cells of one column.
func (s *Sheet) ForgetColumn(at, from, to int) { s.columns[at].forget(from, to) }

// DropColumn gives up a column with its texts: nobody asks for it any more.
func (s *Sheet) DropColumn(at int) { *s.columns[at] = column{texts: []string{""}} }

// Row is row i.
func (s *Sheet) Row(i int) Row { return Row{s, i} }

// Cell is the text of a cell without surrounding space, "" where there is none.
func (s *Sheet) Cell(i, at int) string {
	if at >= len(s.columns) {
		return ""
	}
	c := s.columns[at]
	if s.Headed && i == 0 {
		return s.heads[at]
	}
	return c.text(c.at(i))
}

// Code is the number of the text in a cell: equal numbers of one column mean
// equal texts, 0 is an empty cell.
func (s *Sheet) Code(i, at int) uint32 {
	if at >= len(s.columns) {
		return 0
	}
	return s.columns[at].at(i)
}

// CodesFrom gives the codes of a column in the rows from one on, as many as room holds.
func (s *Sheet) CodesFrom(from, at int, room []uint32) {
	if at >= len(s.columns) {
		clear(room)
		return
	}
	s.columns[at].codes(from, room)
}

// Codes is above all codes of a column.
func (s *Sheet) Codes(at int) int {
	if at >= len(s.columns) {
		return 1
	}
	return s.columns[at].count()
}

// Repeats reports whether the texts of a column come again and again, so that
// it is worth while to keep what each was read as.
func (s *Sheet) Repeats(at int) bool {
	if at >= len(s.columns) {
		return false
	}
	if t := s.columns[at].typed; t != nil {
		return t.index != nil
	}
	return s.columns[at].index != nil
}

// Set writes a text into a cell of a row that is there.
func (s *Sheet) Set(i, at int, text string) {
	for at >= len(s.columns) {
		s.columns = append(s.columns, newColumn())
	}
	c := s.columns[at]
	c.set(i, c.code(quantity.Clean(text)))
	if !s.Headed {
		s.widths.set(i, max(s.widths.at(i), at+1))
	}
}

// Width is the number of columns up to the last that has content in any row.
func (s *Sheet) Width() int { return len(s.columns) }

// Row is a row with content.
type Row struct {
	sheet *Sheet
	index int
}

// Number is the row's number, from 1 as spreadsheet programs count.
func (r Row) Number() int { return r.sheet.Number(r.index) }

// Width is the number of cells up to the last with content.
func (r Row) Width() int {
	if r.sheet.Headed {
		return len(r.sheet.columns)
	}
	return r.sheet.widths.at(r.index)
}

// Cell is the text of a cell without surrounding space, "" beyond the row's end.
func (r Row) Cell(at int) string { return r.sheet.Cell(r.index, at) }

// Code is the number of the text in a cell, see Sheet.Code.
func (r Row) Code(at int) uint32 { return r.sheet.Code(r.index, at) }

// Of is a sheet of rows, numbered from 1, as of a text file or of a workbook.
func Of(text bool, rows ...[]string) *Sheet {
	s := &Sheet{Text: text}
	for i, cells := range rows {
		s.add(i+1, cells)
	}
	return s
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
		cells = cells[:MaxColumns]
	}
	if number > s.mostRows() || s.full() {
		s.RowsBeyond++
		return
	}
	row := s.begin(number)
	for at, text := range cells {
		s.put(row, at, quantity.Clean(text))
	}
	s.widths.set(row, len(cells))
}

// full reports whether the sheet holds as much as is read of one. That of a text
// file is as large as its file; only one that has hardly a cell in many columns
// would take more memory than there are bytes in the file.
func (s *Sheet) full() bool {
	if s.Text {
		return s.weight > 2*MaxCells && s.weight > 8*s.filled
	}
	return s.cells > MaxCells || s.weight > 2*MaxCells
}

func (s *Sheet) mostRows() int {
	if s.Text {
		return MaxLines
	}
	return MaxRows
}

// begin starts a row and gives its index.
func (s *Sheet) begin(number int) int {
	s.numbers.add(number)
	s.widths.add(0)
	return s.numbers.rows - 1
}

// put writes a cell of the row.
func (s *Sheet) put(row, at int, text string) {
	if text == "" {
		return
	}
	for at >= len(s.columns) {
		s.columns = append(s.columns, newColumn())
	}
	c := s.columns[at]
	before := c.weight
	c.set(row, c.code(text))
	s.weight += c.weight - before
	s.filled++
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
