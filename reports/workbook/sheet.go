package workbook

import (
	"fmt"
	"strconv"

	"github.com/xuri/excelize/v2"
)

// Rows of the common frame of every sheet but the summary.
const (
	titleRow = 1
	noteRow  = 2
	leadRow  = 3 // the answer in a line, where there is one
	linkRow  = 4
	headRow  = 5 // header of the main table

	titleHeight = 24.0 // points
)

// page is what a sheet's frame says.
type page struct {
	name  string
	title string
	note  string    // how to read the table
	lead  string    // the answer in a line, or what was left out of the table; "" for none
	wide  bool      // printed in landscape
	below []float64 // widths that tables further down need: known beforehand, pages are reckoned right
	once  bool      // several tables stand on the sheet: pages repeat its title, not the header of the first
}

// sheet is a sheet in the making. Rows are written downwards.
type sheet struct {
	b       *book
	name    string
	wide    bool      // printed in landscape
	widths  []float64 // of the columns, in characters
	folded  int       // the last so many columns of the main table are folded away
	next    int       // first free row
	linkCol int       // first column of the link row that is free for another link
	used    float64   // height of the rows on the last printed page, in points
	single  bool      // printed on one page: no page is ever broken
	repeat  float64   // height of the header row that every page repeats, in points
	lastRow int
	lastCol int
	stream  *excelize.StreamWriter // nil where cells are set one by one
}

// open adds a sheet with its frame. The widths are those of the main table's columns.
func (b *book) open(p page, widths []float64) *sheet {
	_, err := b.file.NewSheet(p.name)
	b.fail(err)
	if b.parts[p.name] == 0 {
		b.parts[p.name] = len(b.parts) + 1
	}
	b.headings[p.name] = headRow
	s := &sheet{b: b, name: p.name, wide: p.wide, widths: widths, next: titleRow}
	s.printed()
	if p.once {
		s.repeated(titleRow)
	} else {
		s.repeated(headRow)
	}
	s.frozen(headRow)
	if p.name != b.home {
		b.fail(b.file.SetCellHyperLink(p.name, ref(1, linkRow), location(b.home, 1), "Location"))
	}
	return s
}

// frame writes title, note, lead and the link back. It comes after everything
// that a streamed sheet needs to know before its first row.
func (s *sheet) frame(p page) {
	s.line(titleRow, titleHeight, titleLook(), words(p.title))
	s.paragraph(noteRow, noteLook(), p.note)
	if p.lead != "" {
		s.paragraph(leadRow, leadLook(), p.lead)
	} else {
		s.line(leadRow, 4, noteLook(), value{}) // no line between note and link
	}
	if p.name == s.b.home {
		s.line(linkRow, 0, noteLook(), value{})
	} else {
		s.line(linkRow, 0, linkLook(), words("← "+s.b.home))
	}
	s.next = headRow
}

// line writes values of one look in a row, from column A. Height 0 is the usual
// height of a row.
func (s *sheet) line(row int, height float64, l look, values ...value) {
	looks := make([]look, len(values))
	for i := range looks {
		looks[i] = l
	}
	s.cells(row, height, looks, values)
}

// cells writes a row of values, each with its look.
func (s *sheet) cells(row int, height float64, looks []look, values []value) {
	if s.b.err != nil {
		return
	}
	if s.stream != nil {
		s.streamed(row, height, looks, values)
	} else {
		for i, v := range values {
			s.set(i+1, row, looks[i], v)
		}
		if height > 0 {
			s.b.fail(s.b.file.SetRowHeight(s.name, row, height))
		}
	}
	s.next = max(s.next, row+1)
	s.flow(height)
	s.reach(len(values), row)
}

// set writes one cell.
func (s *sheet) set(col, row int, l look, v value) {
	at := ref(col, row)
	if v.code != "" {
		l.code = v.code
	}
	switch {
	case v.formula != "":
		s.b.fail(s.b.file.SetCellFormula(s.name, at, v.formula))
		s.b.computed(s.name, at, v)
	case v.is == isText:
		s.b.fail(s.b.file.SetCellStr(s.name, at, escaped(v.text)))
	case v.is == isNumber:
		s.b.fail(s.b.file.SetCellFloat(s.name, at, v.number, -1, 64))
	}
	s.b.fail(s.b.file.SetCellStyle(s.name, at, at, s.b.style(l)))
	s.reach(col, row)
}

// escaped keeps a text such as _x0041_ as it is: in a workbook's shared texts it
// would stand for the character A. The library does so for streamed cells only.
func escaped(text string) string {
	for i := 0; i+7 <= len(text); i++ {
		if text[i] == '_' && text[i+1] == 'x' && text[i+6] == '_' && isHex(text[i+2:i+6]) {
			return text[:i] + "_x005F" + text[i:i+6] + escaped(text[i+6:])
		}
	}
	return text
}

func isHex(s string) bool {
	_, err := strconv.ParseUint(s, 16, 32)
	return err == nil
}

func (s *sheet) streamed(row int, height float64, looks []look, values []value) {
	out := make([]any, len(values))
	for i, v := range values {
		l := looks[i]
		c := excelize.Cell{}
		switch v.is {
		case isText:
			c.Value = v.text
		case isNumber:
			l.code, c.Value = v.code, v.number
		}
		c.StyleID = s.b.style(l)
		out[i] = c
	}
	s.b.fail(s.stream.SetRow(ref(1, row), out, excelize.RowOpts{Height: height}))
}

// paragraph writes a text across the sheet's columns, as high as it needs to be.
func (s *sheet) paragraph(row int, l look, text string) {
	last, width := s.across()
	height := linesHeight(lines(text, columnPixels(width), l), l)
	s.line(row, max(height, usualRowHeight), l, words(text))
	if last == 1 {
		return
	}
	if s.stream != nil {
		s.b.fail(s.stream.MergeCell(ref(1, row), ref(last, row)))
	} else {
		s.b.fail(s.b.file.MergeCell(s.name, ref(1, row), ref(last, row)))
	}
	s.reach(last, row)
}

// across is how many columns a paragraph takes and how many characters they
// hold: those of the table, or enough for a readable line where it is narrow.
func (s *sheet) across() (columns int, width float64) {
	const readable, most, usual = 90, 150, 9
	for _, w := range s.shownWidths() {
		if width >= most {
			break
		}
		width += w
		columns++
	}
	for width < readable {
		width += usual
		columns++
	}
	return columns, width
}

// shownWidths are those of the columns that are not folded away.
func (s *sheet) shownWidths() []float64 { return s.widths[:len(s.widths)-s.folded] }

// section writes a heading between two parts of a sheet, after a blank row.
func (s *sheet) section(text string) {
	const withFirstRows = 80 // points: no heading stands alone at the end of a page
	s.keepTogether(withFirstRows)
	row := s.next + 1
	last, _ := s.across()
	for col := 1; col <= last; col++ {
		s.set(col, row, sectionLook(), value{})
	}
	s.set(1, row, sectionLook(), words(text))
	s.b.fail(s.b.file.SetRowHeight(s.name, row, 20))
	s.flow(usualRowHeight)
	s.flow(20)
	s.next = row + 1
}

// notes writes what a reader must know, one paragraph each.
func (s *sheet) notes(heading string, texts []string) {
	if len(texts) == 0 {
		return
	}
	s.section(heading)
	l := bodyLook()
	l.wrap = true
	for _, t := range texts {
		s.paragraph(s.next, l, t)
	}
}

// close sets what can only be known at the end: column widths and the sheet's extent.
func (s *sheet) close() {
	if s.b.err != nil {
		return
	}
	if s.stream != nil {
		s.b.fail(s.stream.Flush())
		return
	}
	for i, w := range s.widths {
		col, err := excelize.ColumnNumberToName(i + 1)
		s.b.fail(err)
		s.b.fail(s.b.file.SetColWidth(s.name, col, col, w))
		if i >= len(s.widths)-s.folded {
			s.b.fail(s.b.file.SetColOutlineLevel(s.name, col, 1))
			s.b.fail(s.b.file.SetColVisible(s.name, col, false))
		}
	}
	s.b.fail(s.b.file.SetSheetDimension(s.name, "A1:"+ref(s.lastCol, s.lastRow)))
}

func (s *sheet) reach(col, row int) {
	s.lastCol, s.lastRow = max(s.lastCol, col), max(s.lastRow, row)
}

// ref is a cell's reference, for example "C5".
func ref(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic(fmt.Sprintf("workbook: no cell at column %d, row %d", col, row))
	}
	return name
}

// location is where a link within the workbook leads: column A of a row.
func location(sheet string, row int) string { return fmt.Sprintf("'%s'!A%d", sheet, row) }
