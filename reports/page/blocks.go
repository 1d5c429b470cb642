package page

import (
	"fmt"
	"html/template"
	"slices"
	"strings"
	"unicode/utf8"

	"moldwright/pipeline"
)

// section is one answer: a heading of the second level and what stands below it.
type section struct {
	ID     string
	Title  string
	Class  string // "sheet" starts a new page in print
	Why    string // why the answer was not given, "" where it was
	HowTo  bool   // whether another section says what would give it
	Blocks []block
}

// block is one thing below a heading; exactly one of its parts is filled.
type block struct {
	Heading string // of the third level
	Text    string
	List    []string
	Table   *table
	Figure  *figure
	Class   string
}

// figure is a chart with its caption.
type figure struct {
	Name  string
	Title string
	Note  string
	Width string // greatest width on the screen, CSS
	SVG   template.HTML
}

// table is a table of cells that are ready to show. The first cell of each row
// is the row's header.
type table struct {
	ID      string // set by numberTables
	Caption string
	Class   string
	Head    []column
	Rows    []row
}

// column is a header cell.
type column struct {
	Text   string
	Sub    string // second line: the unit, or what the small figures are
	Number bool   // right aligned
}

type row struct {
	Class string
	Cells []cell
}

// cell is a table cell: a text, and smaller lines below it.
type cell struct {
	Text string
	Sub  []string
}

// tight is the most characters of a name, number or date that stays on one line.
const tight = 18

// Tight reports whether the text is short enough to stay on one line.
func (c cell) Tight() bool { return utf8.RuneCountInString(c.Text) <= tight }

// wholeRows is the most rows of a table that is kept on one printed page.
const wholeRows = 12

// Whole reports whether the table is kept on one printed page: where it is
// short, and not one of long lines that may flow over.
func (t table) Whole() bool {
	return len(t.Rows) <= wholeRows && t.Class != "flow" && t.Class != "long"
}

// of makes a cell; empty second lines are left out, and so are absent ones.
func of(text string, sub ...string) cell {
	c := cell{Text: text}
	if text == "" {
		c.Text = dash
	}
	for _, s := range sub {
		if s != "" && s != dash {
			c.Sub = append(c.Sub, s)
		}
	}
	return c
}

// cells makes a row of cells without second lines.
func cells(texts ...string) row {
	var r row
	for _, t := range texts {
		r.Cells = append(r.Cells, of(t))
	}
	return r
}

// words and numbers make header cells of left and right aligned columns.
// "Waste|80 % interval" puts what follows the bar on a second line.
func words(texts ...string) []column   { return columns(texts, false) }
func numbers(texts ...string) []column { return columns(texts, true) }

func columns(texts []string, number bool) []column {
	cols := make([]column, len(texts))
	for i, t := range texts {
		text, sub, _ := strings.Cut(t, "|")
		cols[i] = column{Text: text, Sub: sub, Number: number}
	}
	return cols
}

func (s *section) heading(text string) { s.Blocks = append(s.Blocks, block{Heading: text}) }

func (s *section) text(format string, args ...any) {
	s.Blocks = append(s.Blocks, block{Text: fmt.Sprintf(format, args...)})
}

// small adds a paragraph of the kind that explains how to read something.
func (s *section) small(format string, args ...any) {
	s.Blocks = append(s.Blocks, block{Text: fmt.Sprintf(format, args...), Class: "small"})
}

// list adds a list; an empty one adds nothing.
func (s *section) list(items []string) {
	if len(items) > 0 {
		s.Blocks = append(s.Blocks, block{List: items})
	}
}

// table adds a table; one without rows adds nothing, and of one with very many the
// first are shown.
func (s *section) table(t table) {
	all := len(t.Rows)
	if all == 0 {
		return
	}
	t.Rows = t.Rows[:min(all, rowsShown)]
	s.Blocks = append(s.Blocks, block{Table: &t})
	if all > rowsShown {
		s.small("Shown are the first %d of %d rows; all stand in report.xlsx and in the folder tables.", rowsShown, all)
	}
}

func (s *section) figures(figs []figure) { s.Blocks = append(s.Blocks, figureBlocks(figs)...) }

func figureBlocks(figs []figure) []block {
	blocks := make([]block, len(figs))
	for i := range figs {
		blocks[i] = block{Figure: &figs[i]}
	}
	return blocks
}

// take parts the figures of these names from the others, order kept.
func take(figs []figure, names ...string) (taken, rest []figure) {
	for _, f := range figs {
		if slices.Contains(names, f.Name) {
			taken = append(taken, f)
		} else {
			rest = append(rest, f)
		}
	}
	return taken, rest
}

// leftOut turns the section into a statement of why it has no answer.
func (s section) leftOut(res pipeline.Result, why, otherwise string) section {
	if why == "" {
		why = otherwise
	}
	s.Why, s.HowTo = sentence(why), len(res.NotGiven) > 0
	return s
}

// numberTables gives every table its id. Names from the inputs never become
// ids: they may hold anything and may repeat.
func (d *document) numberTables() {
	n := 0
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			if b.Table != nil {
				n++
				b.Table.ID = fmt.Sprintf("table-%d", n)
			}
		}
	}
}
