package workbook

import (
	"fmt"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// column is one column of a table: its header, which names the unit, and the
// value of a row.
type column[R any] struct {
	head  string
	most  float64 // widest it grows, in characters, before its text wraps; 0: 24
	least float64 // narrowest it is, in characters; 0: as narrow as its text
	size  float64 // font size in points; 0: the body's
	value func(R) value
	yours bool // the reader may change what stands in it
	fold  bool // folded away: what formulas work with. Such columns come last, on a sheet with one table
}

// table is a real table of the workbook, with filters.
type table[R any] struct {
	name     string // the table's name in the workbook, such as molds_table
	full     string // where the output folder holds all rows and all digits
	columns  []column[R]
	rows     []R
	marks    []mark
	none     string         // what to say instead of a table without rows
	linked   string         // the column whose cells are links
	link     func(R) string // where a row's cell leads outside of the workbook, "" for nowhere
	long     bool           // may have very many rows, of which more are shown than of others
	blocks   blocks[R]      // rows that belong together to the eye
	most     int            // so many rows at most, where that is fewer than of other tables
	rank     func(R) int    // what needs action first, from 0; nil: by the marks
	pressing bool           // the rows stand in order of need: of too many, those at the end are left out
	about    func(R) string // what a row is about, as advice names it; nil where advice names no row
	figure   func(R) string // header of the column with the row's chief figure
}

// blocks parts the rows of a table into blocks, each under a heavy line and, as
// far as it fits, on one printed page. The zero value is a table without blocks.
type blocks[R any] struct {
	least float64           // height of a row, in points, that leaves room for a pen
	parts func(a, b R) bool // whether b, which follows a, begins a block; nil for never
	cells func(R, []look)   // draws the cells of a row otherwise; nil for no change
}

// mark is a conditional format: the cells of columns are colored in rows where
// the column on holds the words. The words say it, the color only helps to find them.
type mark struct {
	on      string
	words   string
	columns []string
	tone    tone
}

// area is where a table stands: its header row and its rows.
type area struct {
	sheet string
	head  int
	rows  int
	heads []string
}

func (a area) first() int { return a.head + 1 }

func (a area) last() int { return a.head + a.rows }

// column is a column's number, counted from 1, or 0.
func (a area) column(head string) int {
	for i, h := range a.heads {
		if h == head {
			return i + 1
		}
	}
	return 0
}

// within is an absolute reference to rows from (counted from 0) to before to of a column.
func (a area) within(head string, from, to int) string {
	name, err := excelize.ColumnNumberToName(a.column(head))
	if err != nil {
		panic(fmt.Sprintf("workbook: no column %q on sheet %q", head, a.sheet))
	}
	return fmt.Sprintf("'%s'!$%s$%d:$%s$%d", a.sheet, name, a.first()+from, name, a.head+to)
}

// openTable adds a sheet whose main table is t.
func openTable[R any](b *book, p page, t table[R]) (*sheet, area) {
	t, left := shown(t, b.limits)
	p.lead = strings.TrimSpace(p.lead + " " + left)
	s := b.open(p, widest(widthsOf(t), p.below))
	a := area{sheet: s.name, head: headRow, rows: len(t.rows), heads: headsOf(t)}
	for _, c := range t.columns {
		s.folded += count1(c.fold)
	}
	marked(s, a, t.marks)
	linkedOut(s, a, t)
	s.frame(p)
	fillTable(s, a, t)
	placed(b, a, t)
	return s, a
}

// widest are the widths of columns that serve two tables, one below the other.
func widest(x, y []float64) []float64 {
	out := slices.Clone(x)
	for i, w := range y {
		if i < len(out) {
			out[i] = max(out[i], w)
		} else {
			out = append(out, w)
		}
	}
	return out
}

// mostLinks bounds the links out of a sheet: the library looks through all for each
// new one.
const mostLinks = 1000

// linkedOut makes links of the cells of the linked column.
func linkedOut[R any](s *sheet, a area, t table[R]) {
	at := a.column(t.linked)
	if t.link == nil || at == 0 {
		return
	}
	for i, r := range t.rows[:min(len(t.rows), mostLinks)] {
		if to := t.link(r); to != "" {
			s.b.fail(s.b.file.SetCellHyperLink(s.name, ref(at, a.first()+i), to, "External"))
		}
	}
}

// addTable adds a further table below what the sheet holds already. Of a table
// that is too long it says above it what is left out.
func addTable[R any](s *sheet, t table[R]) area {
	t, left := shown(t, s.b.limits)
	if left != "" {
		s.paragraph(s.next, leadLook(), left)
	}
	s.widths = widest(s.widths, widthsOf(t))
	a := area{sheet: s.name, head: s.next, rows: len(t.rows), heads: headsOf(t)}
	marked(s, a, t.marks)
	fillTable(s, a, t)
	placed(s.b, a, t)
	return a
}

// fillTable writes the table's header and rows.
func fillTable[R any](s *sheet, a area, t table[R]) {
	begins := func(i int) int {
		if t.blocks.parts == nil || i > 0 && !t.blocks.parts(t.rows[i-1], t.rows[i]) {
			return 0
		}
		n := 1
		for i+n < len(t.rows) && !t.blocks.parts(t.rows[i+n-1], t.rows[i+n]) {
			n++
		}
		return n
	}
	rowRefs := a.refs()
	s.fill(a, filling{name: t.name, none: t.none, least: t.blocks.least, begins: begins, row: func(i int) ([]value, []look) {
		values, looks := rowOf(t, i)
		for j := range values {
			if values[j].formula != "" {
				values[j].formula = rowRefs(values[j].formula, a.first()+i)
			}
		}
		if t.blocks.cells != nil {
			t.blocks.cells(t.rows[i], looks)
		}
		if begins(i) > 0 {
			for j := range looks {
				looks[j].begun = true
			}
		}
		return values, looks
	}})
}

// filling is what fill writes.
type filling struct {
	name   string
	none   string                        // what to say instead of a table without rows
	row    func(i int) ([]value, []look) // cells of row i
	least  float64                       // lowest row, in points
	begins func(i int) int               // rows of the block that begins with row i, 0 where none does
}

// fill writes header and rows and makes them a table.
func (s *sheet) fill(a area, of filling) {
	if a.rows == 0 {
		s.paragraph(a.head, bodyLook(), of.none)
		return
	}
	heads := make([]value, len(a.heads))
	for i, h := range a.heads {
		heads[i] = words(h)
	}
	height := headHeight(a.heads, s.widths)
	s.line(a.head, height, headLook(), heads...)
	if a.head == headRow {
		s.repeat = height
	}
	for i := range a.rows {
		values, looks := of.row(i)
		height := rowHeight(values, looks, s.widths)
		if height < of.least {
			height = of.least
		}
		if n := of.begins(i); n > 0 && i > 0 {
			s.keepTogether(float64(n) * height)
		}
		s.row(a.first()+i, height, looks, values)
	}
	s.addTable(a, of.name)
}

// rowOf is row i of a table: its values and how they are drawn.
func rowOf[R any](t table[R], i int) ([]value, []look) {
	values, looks := make([]value, len(t.columns)), make([]look, len(t.columns))
	for j, c := range t.columns {
		values[j] = c.value(t.rows[i])
		looks[j] = ofTable(values[j], c.size)
		if c.yours {
			looks[j].fill = yours
		}
		if t.link != nil && i < mostLinks && c.head == t.linked && t.link(t.rows[i]) != "" {
			looks[j].ink, looks[j].under = linkInk, true
		}
	}
	return values, looks
}

// marked sets the conditional formats of a table.
func marked(s *sheet, a area, marks []mark) {
	for _, m := range marks {
		on, err := excelize.ColumnNumberToName(a.column(m.on))
		if err != nil || a.rows == 0 {
			continue
		}
		style := s.b.toneStyle(m.tone)
		for _, head := range m.columns {
			col := a.column(head)
			if col == 0 {
				continue
			}
			s.b.fail(s.b.file.SetConditionalFormat(s.name, ref(col, a.first())+":"+ref(col, a.last()),
				[]excelize.ConditionalFormatOptions{{
					Type: "formula", Criteria: fmt.Sprintf(`$%s%d="%s"`, on, a.first(), m.words), Format: &style,
				}}))
		}
	}
}

func headsOf[R any](t table[R]) []string {
	heads := make([]string, len(t.columns))
	for i, c := range t.columns {
		heads[i] = c.head
	}
	return heads
}

// widthsOf fits columns to what stands in them, in characters. Beyond a few
// thousand rows it looks at evenly spaced ones.
func widthsOf[R any](t table[R]) []float64 {
	const usualMost, least, looked = 24, 7, 2000
	step := max(1, len(t.rows)/looked)
	widths := make([]float64, len(t.columns))
	for j, c := range t.columns {
		most := c.most
		if most == 0 {
			most = usualMost
		}
		var longest float64
		for i := 0; i < len(t.rows); i += step {
			v := c.value(t.rows[i])
			longest = max(longest, textPixels(v.text, ofTable(v, c.size)))
		}
		body := min(columnWidth(longest+indentPixels+4), most)
		widths[j] = max(body, headWidth(c.head), least, c.least)
	}
	widths[0] = max(widths[0], 12) // the link back stands above
	return widths
}

// headWidth is the width at which a header takes three lines at most, with room
// for the filter's button.
func headWidth(head string) float64 {
	const most = 3
	l := headLook()
	var pixels float64
	for word := range strings.FieldsSeq(head) {
		pixels = max(pixels, textPixels(word, l))
	}
	for lines(head, pixels, l) > most {
		pixels += charPixels
	}
	return columnWidth(pixels + filterButton + indentPixels)
}

// headHeight is how high a header row must be for its lines.
func headHeight(heads []string, widths []float64) float64 {
	most := 1
	for i, h := range heads {
		most = max(most, lines(h, columnPixels(widths[i])-filterButton-indentPixels, headLook()))
	}
	return linesHeight(most, headLook()) + 6
}

// rowHeight is how high a row must be for its texts; 0 for the usual height.
func rowHeight(values []value, looks []look, widths []float64) float64 {
	var height float64
	for i, v := range values {
		n := 1
		if v.is == isText && looks[i].wrap {
			n = lines(v.text, columnPixels(widths[i])-indentPixels*float64(looks[i].indent), looks[i])
		}
		if v.is != isEmpty {
			height = max(height, linesHeight(n, looks[i])+2)
		}
	}
	if height <= usualRowHeight+2 {
		return 0
	}
	return height
}
