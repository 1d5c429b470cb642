package template

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// guideSheet is the first sheet.
const guideSheet = "How to fill this in"

// The first sheet's columns, and how many characters fit on a line of each.
const (
	guideLast  = "D"
	proseChars = 128
	wordsChars = 62
)

// guide writes the first sheet: rules, which sheet is for which answer,
// cautions, and every column with an example. The examples stand here, one
// below the other, so that the sheets themselves are blank and nothing on this
// one reads as a row of data.
func (b *builder) guide() error {
	g := guideWriter{builder: b, row: 1}
	for i, w := range []float64{26, 12, 62, 24} {
		col := string(rune('A' + i))
		g.do(b.file.SetColWidth(guideSheet, col, col, w))
	}
	g.line(b.styles.title, 30, guideSheet)
	g.prose(b.styles.prose, rules())
	g.heading("Which sheet is for which answer")
	g.line(b.styles.head, 20, "Sheet", "", "What it is for", "Least to fill in")
	for _, t := range b.inputs {
		var least []string
		for _, f := range fields(t) {
			if f.required {
				least = append(least, f.header)
			}
		}
		needed := strings.Join(least, "; ")
		g.line(b.styles.cell, height(max(lines(purpose(t), wordsChars), lines(needed, 22))), sheetName(t), "", purpose(t), needed)
	}
	g.heading("Cautions")
	g.prose(b.styles.caution, cautions())
	g.heading("Every column, with an example")
	g.line(b.styles.head, 20, "Column", "Needed", "What belongs there", "Example")
	for _, t := range b.inputs {
		g.do(g.file.MergeCell(guideSheet, fmt.Sprintf("A%d", g.row), fmt.Sprintf("%s%d", guideLast, g.row)))
		g.line(b.styles.subhead, 18, fmt.Sprintf("Sheet %s: a row is %s", sheetName(t), t.Doc), "", "", "")
		for _, f := range fields(t) {
			g.column(t, f)
		}
	}
	g.do(b.page(guideSheet))
	no := false
	g.do(b.file.SetSheetView(guideSheet, 0, &excelize.ViewOptions{ShowGridLines: &no}))
	return g.err
}

// guideWriter writes downwards and keeps the first error.
type guideWriter struct {
	*builder
	row int
	err error
}

func (g *guideWriter) do(err error) {
	if g.err == nil {
		g.err = err
	}
}

// line writes a row of cells in one style.
func (g *guideWriter) line(style int, height float64, texts ...string) {
	for i, text := range texts {
		cell := fmt.Sprintf("%c%d", 'A'+i, g.row)
		if text != "" {
			g.do(g.file.SetCellStr(guideSheet, cell, text))
		}
		g.do(g.file.SetCellStyle(guideSheet, cell, cell, style))
	}
	g.do(g.file.SetRowHeight(guideSheet, g.row, height))
	g.row++
}

// column writes the line of a column. Several readings of one thing share it.
func (g *guideWriter) column(t tables.Table, f field) {
	name := f.header
	if n := readings(f.Column); n > 1 {
		if f.reading > 1 {
			return
		}
		name = fmt.Sprintf("%s, and up to %d", name, n)
	}
	needed, style := "", g.styles.cell
	if f.required {
		needed, style = "required", g.styles.bold
	}
	what := f.Doc
	if len(f.Choices) > 0 {
		what += " (" + strings.Join(f.Choices, ", ") + ")"
	}
	row := g.row
	g.line(g.styles.cell, height(lines(what, wordsChars)), name, needed, what, example(t, f.Column))
	g.do(g.file.SetCellStyle(guideSheet, fmt.Sprintf("A%d", row), fmt.Sprintf("B%d", row), style))
}

// prose writes paragraphs over the whole width. Spreadsheets don't grow a row
// to the text of a merged cell, so the height is reckoned from its length.
func (g *guideWriter) prose(style int, texts []string) {
	for _, text := range texts {
		from, to := fmt.Sprintf("A%d", g.row), fmt.Sprintf("%s%d", guideLast, g.row)
		g.do(g.file.MergeCell(guideSheet, from, to))
		g.do(g.file.SetCellStyle(guideSheet, from, to, style))
		g.line(style, height(lines(text, proseChars)), text)
	}
}

func (g *guideWriter) heading(text string) {
	g.line(g.styles.heading, 32, text)
}

func lines(text string, perLine int) int { return utf8.RuneCountInString(text)/perLine + 1 }

func height(lines int) float64 { return 4 + 15*float64(lines) }
