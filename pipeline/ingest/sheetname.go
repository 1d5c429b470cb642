package ingest

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// What a sheet's name, or a line above a table, says of all its rows: the mold,
// the form, the pour, or the month.

// given is a value that holds for all rows of a table.
type given struct {
	column int // declared
	text   string
	from   string // where it stands, in words
	header bool   // it is a heading of the table itself, as in one column per mold
	mapped bool   // a mapping file says so
}

func sameGiven(a []given, b []value) bool {
	for _, g := range a {
		if len(b) == 0 || !b[g.column].has || nameKey(b[g.column].text) != nameKey(g.text) {
			return false
		}
	}
	return true
}

// titleDepth is how many rows above a header are looked at.
const titleDepth = 8

// givenFor lists what lines above a header and the sheet's name say of the
// columns of names that the header itself does not have.
func (f *finder) givenFor(v vocabulary, l *line, has []bool) []given {
	var out []given
	add := func(g given) {
		if !has[g.column] && !slices.ContainsFunc(out, func(o given) bool { return o.column == g.column }) {
			out = append(out, g)
		}
	}
	for _, g := range f.settled(v, has) {
		add(g)
	}
	said, known := l.givens[v.table.Name]
	if !known {
		said = f.said(v, l)
		if l.givens == nil {
			l.givens = map[string][]given{}
		}
		l.givens[v.table.Name] = said
	}
	for _, g := range said {
		add(g)
	}
	return out
}

// said lists what the lines above a header and the sheet's name say.
func (f *finder) said(v vocabulary, l *line) (out []given) {
	above, from, to := f.titles(l)
	for row := to - 1; row >= from; row-- {
		for _, t := range labels(above.Row(row)) {
			m, _, ok := v.match(f.heading(t.label))
			if ok && v.table.Columns[m.column].Kind == tables.KindID && !m.unit.Given() && refersToOther(v.table, m.column) {
				out = append(out, given{m.column, quantity.Identifier(t.value), fmt.Sprintf("row %d", above.Number(row)), false, false})
			}
		}
	}
	if v.table.Name == "casts" {
		if name := f.moldInName(); name != "" {
			out = append(out, given{v.columnNamed("mold"), name, "the sheet's name", false, false})
		}
	}
	return out
}

// titles are the rows in which lines above a header may stand. Where the sheet
// is a turned copy they are those of the sheet as it is, at its top.
func (f *finder) titles(l *line) (s *grid.Sheet, from, to int) {
	if f.turnedFrom != nil {
		return f.turnedFrom, 0, min(f.turnedFrom.Len(), titleDepth)
	}
	return f.sheet, max(l.top, l.rows[0]-titleDepth), l.rows[0]
}

// refersToOther reports whether the column names something that another table
// lists: the mold of a cast, not the number of the cast itself.
func refersToOther(t tables.Table, column int) bool {
	return t.Columns[column].Name != strings.TrimSuffix(t.Name, "s")
}

// label is a line above a table such as Mold: M-07.
type label struct{ label, value string }

// labels reads the lines of a row that stand above a table: Mold: M-07 or Mold
// no. M-07 in one cell, or Mold and M-07 in two, and nothing else behind them.
func labels(r grid.Row) []label {
	var out []label
	var cells []string
	for at := 0; at < min(r.Width(), narrow); at++ {
		if c := r.Cell(at); c != "" && len(c) <= 80 {
			cells = append(cells, c)
		}
	}
	if len(cells) > 6 {
		return nil
	}
	for i, c := range cells {
		if before, after, ok := strings.Cut(c, ":"); ok && quantity.Clean(after) != "" {
			out = append(out, label{before, quantity.Clean(after)})
			continue
		}
		if len(cells) == 2 && i == 0 {
			out = append(out, label{strings.TrimRight(c, " :"), cells[1]})
		}
		if words := strings.Fields(c); len(words) >= 2 && len(words) <= 4 && strings.ContainsFunc(words[len(words)-1], unicode.IsDigit) {
			out = append(out, label{strings.Join(words[:len(words)-1], " "), words[len(words)-1]})
		}
	}
	return out
}

// moldInName is the mold that the sheet is named after, "" where it is named
// otherwise: a mold that a molds sheet lists, or a name that looks like one.
func (f *finder) moldInName() string {
	name := quantity.Identifier(f.sheet.Name)
	if f.hints.molds[nameKey(name)] || looksLikeMold(name) {
		return name
	}
	return ""
}

// looksLikeMold reports whether a text is a mold's number such as M-07, m7,
// Mold 12 or C3: at most three letters or the word mold, then digits.
func looksLikeMold(s string) bool {
	words := fold(s)
	if len(s) > 20 || len(words) < 2 || monthOf(s).known() {
		return false
	}
	if tail := words[len(words)-1]; words[0] == "mold" && len(words) == 2 && len(tail) == 1 {
		return true // Mold A
	}
	letters := strings.Join(words[:len(words)-1], "")
	digits := words[len(words)-1]
	if len(digits) > 4 || strings.Trim(digits, "0123456789") != "" || strings.ContainsAny(letters, "0123456789") {
		return false
	}
	switch letters {
	case "mold", "moldno", "moldnumber", "moldnr", "form":
		return true
	case "q", "kw", "wk", "day", "log", "tab", "no", "p", "pg", "v", "cw", "fy":
		return false // quarters, weeks, pages, versions
	}
	return len([]rune(letters)) <= 3 && len(digits) <= 3
}

// noteGiven tells what was taken from the sheet's name or the lines above.
func (b *block) noteGiven(givens []given) {
	for _, g := range givens {
		if g.header || g.mapped {
			continue
		}
		b.notes = append(b.notes, note{-1, tables.Problem{
			Code: CodeNameFromSheet, Severity: tables.Notice, Value: g.text,
			Message: fmt.Sprintf("the %s of all rows is “%s”, as %s says", b.table.Columns[g.column].Name, shown(g.text), g.from),
			Mend:    fmt.Sprintf("nothing to do if that is right; otherwise write a column for the %s", b.table.Columns[g.column].Name),
		}})
	}
}

// noteMonth tells that dates were completed.
func (b *block) noteMonth(col *column) {
	b.noteOnce(col.at, tables.Problem{
		Code: CodeNameFromSheet, Severity: tables.Notice, Value: b.month.String(),
		Message: fmt.Sprintf("days without a month or a year were taken to be of %s, as %s says", b.month, b.month.from),
		Mend:    "nothing to do if that is right; otherwise write whole dates such as 2025-03-14",
	})
}
