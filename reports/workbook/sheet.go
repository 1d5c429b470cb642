package workbook

import (
	"fmt"

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
	cells   cells
}

// open adds a sheet with its frame. The widths are those of the main table's columns.
func (b *book) open(p page, widths []float64) *sheet {
	_, err := b.file.NewSheet(p.name)
	b.fail(err)
	if b.parts[p.name] == 0 {
		b.parts[p.name] = len(b.parts) + 1
	}
	b.headings[p.name] = headRow
	s := b.sheet(p.name, p.wide, widths)
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

// sheet begins the cells of a sheet that is there.
func (b *book) sheet(name string, wide bool, widths []float64) *sheet {
	return &sheet{b: b, name: name, wide: wide, widths: widths, next: titleRow}
}

// frame writes title, note, lead and the link back.
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
	s.row(row, height, looks, values)
}

// row writes a row of values, each with its look. Rows are written downwards.
func (s *sheet) row(row int, height float64, looks []look, values []value) {
	if s.b.err != nil {
		return
	}
	cells := make([]excelize.Cell, len(values))
	for i, v := range values {
		cells[i] = cellOf(s.styleOf(i, looks[i], v), v)
	}
	s.cells.add(row, height, cells)
	s.next = max(s.next, row+1)
	s.flow(height)
	s.reach(len(values), row)
}

// styleOf is the number of the style of a cell in column i, counted from 0. Cells
// below each other mostly look alike.
func (s *sheet) styleOf(i int, l look, v value) int {
	if v.code != "" {
		l.code = v.code
	}
	c := &s.cells
	for len(c.drawn) <= i {
		c.drawn = append(c.drawn, drawn{look{}, s.b.style(look{})})
	}
	if c.drawn[i].look != l {
		c.drawn[i] = drawn{l, s.b.style(l)}
	}
	return c.drawn[i].style
}

// linkBeside writes a further cell into the link row, right of those there.
func (s *sheet) linkBeside(col int, v value) {
	s.cells.addTo(linkRow, col, cellOf(s.b.style(linkLook()), v))
	s.reach(col, linkRow)
}

// merge makes one cell of some of a row.
func (s *sheet) merge(row, first, last int) {
	if last > first {
		s.cells.merged = append(s.cells.merged, [2]string{ref(first, row), ref(last, row)})
		s.reach(last, row)
	}
}

// paragraph writes a text across the sheet's columns, as high as it needs to be.
func (s *sheet) paragraph(row int, l look, text string) {
	last, width := s.across()
	height := linesHeight(lines(text, columnPixels(width), l), l)
	s.line(row, max(height, usualRowHeight), l, words(text))
	s.merge(row, 1, last)
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
	values := make([]value, last)
	values[0] = words(text)
	s.flow(usualRowHeight)
	s.line(row, 20, sectionLook(), values...)
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

// close writes the sheet. Nothing can be added to it afterwards.
func (s *sheet) close() {
	if s.b.err == nil {
		s.b.fail(s.stream())
	}
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
