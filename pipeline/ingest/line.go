package ingest

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"moldwright/pipeline/tables"
)

// line is one row of a sheet, or two, read as a header: for each column the ways
// to read its heading, the likeliest first.
type line struct {
	finder *finder
	rows   []int
	top    int        // where the titles above it may begin
	texts  [][]string // by column
	over   []string   // by column: the cell of the upper row that spans it, "" where there is none
	known  map[string][]headed
	givens map[string][]given  // by table, what lines above say
	splits map[int][]candidate // by first column, see beside
}

// headed is a heading as one table understands it.
type headed struct {
	text   string // as written
	match  match
	misfit string // the unit that does not fit
	ok     bool
	out    bool // a mapping leaves the column out
}

func (f *finder) oneLine(i, top int) *line {
	l := &line{finder: f, rows: []int{i}, top: top}
	row := f.sheet.Row(i)
	l.texts, l.over = make([][]string, row.Width()), make([]string, row.Width())
	for at := range l.texts {
		if text := row.Cell(at); text != "" {
			l.texts[at] = []string{text}
		}
	}
	return l
}

// numbered is a running number with a unit in brackets: 1 (mm).
var numbered = regexp.MustCompile(`^\d{1,2} ?[(\[]\D*$`)

// twoLines joins a row with the one below it: Dwell over (min) is Dwell (min),
// and Cast 1, once over Date and Wall, spans both. It fails where the lower row
// does not look like a header: it holds only words, or running numbers under one
// cell.
func (f *finder) twoLines(i, top, left, right int) (*line, bool) {
	upper, lower := f.sheet.Row(i), f.sheet.Row(i+1)
	if lower.Number() != upper.Number()+1 {
		return nil, false
	}
	width := min(right, max(upper.Width(), lower.Width()))
	l := &line{finder: f, rows: []int{i, i + 1}, top: top}
	l.texts, l.over = make([][]string, width), make([]string, width)
	span, direct, number, words := "", 0, 0, 0
	for at := left; at < width; at++ {
		a, b := upper.Cell(at), lower.Cell(at)
		if len(a) > 80 || len(b) > 80 || a != "" && !strings.ContainsFunc(a, unicode.IsLetter) {
			return nil, false
		}
		if a != "" {
			span, direct, number = a, at, 0
		}
		if b == "" {
			if a != "" {
				l.texts[at] = []string{a}
			} else if at > direct && upper.Cell(at) == "" {
				span = "" // a gap ends what spans
			}
			continue
		}
		switch k, err := strconv.Atoi(b); {
		case err == nil && (span == "" || k != number+1):
			return nil, false
		case err == nil:
			number++
		case !strings.ContainsFunc(b, unicode.IsLetter) && !strings.ContainsAny(b, `%"#°`) || b[0] >= '0' && b[0] <= '9' && !numbered.MatchString(b):
			return nil, false
		default:
			words++
		}
		l.over[at] = span
		switch {
		case a != "":
			l.texts[at] = []string{a + " " + b, b, a}
		case span != "":
			l.texts[at] = []string{b, span + " " + b}
		default:
			l.texts[at] = []string{b}
		}
	}
	return l, words > 0 || number > 0
}

// whole reports whether every cell of the lower row takes part in the header,
// so that it is none of data.
func (l *line) whole(h header) bool {
	used := map[int]bool{}
	for _, c := range h.parts {
		for _, col := range c.columns {
			if col.used && (col.header != l.texts[col.at][len(l.texts[col.at])-1] || len(l.texts[col.at]) < 3) {
				used[col.at] = true
			}
		}
	}
	for at := range l.texts {
		if l.finder.sheet.Cell(l.rows[1], at) != "" && !used[at] {
			return false
		}
	}
	return true
}

// read understands every heading in the words of one table.
func (l *line) read(v vocabulary) []headed {
	if heads, ok := l.known[v.table.Name]; ok {
		return heads
	}
	heads := make([]headed, len(l.texts))
	for at, texts := range l.texts {
		heads[at] = l.heading(v, at, texts)
	}
	if l.known == nil {
		l.known = map[string][]headed{}
	}
	l.known[v.table.Name] = heads
	return heads
}

func (l *line) heading(v vocabulary, at int, texts []string) headed {
	if len(texts) == 0 {
		return headed{}
	}
	out := headed{text: texts[0]}
	if rename := l.finder.hints.rename; rename != nil {
		for _, text := range texts {
			if as, settled := rename(at, text); settled {
				m, misfit, ok := v.match(newHeading(as))
				return headed{text, m, misfit, ok, as == ""}
			}
		}
	}
	for _, text := range texts {
		m, misfit, ok := v.match(l.finder.heading(text))
		if ok {
			return headed{text: text, match: m, ok: true}
		}
		if out.misfit == "" && misfit != "" {
			out.text, out.misfit = text, misfit
		}
	}
	return out
}

// as matches the headings of the columns from left to right with one table. A
// column that is named twice is taken once: by its own name if it stands there,
// else the first.
func (l *line) as(v vocabulary, heads []headed, left, right int, guess bool) candidate {
	return l.with(v, heads[:min(right, len(heads))], func(at int) bool { return at >= left }, guess)
}

// with does so for the columns that are the table's.
func (l *line) with(v vocabulary, heads []headed, own func(at int) bool, guess bool) candidate {
	c := l.matched(v, heads, own, guess)
	c.finish(l)
	return c
}

// matched does so, without a look at what the table lacks.
func (l *line) matched(v vocabulary, heads []headed, own func(at int) bool, guess bool) candidate {
	c := candidate{vocabulary: v, line: l, rows: l.rows, left: -1, columns: make([]column, 0, len(heads))}
	taken := make([][]int, len(v.table.Columns)) // indices in c.columns
	for at, head := range heads {
		col := column{at: at}
		if !own(at) {
			col.other = true
			c.columns = append(c.columns, col)
			continue
		}
		if col.header = head.text; head.text != "" {
			if c.left < 0 {
				c.left = at
			}
			c.right = at + 1
			col.match, col.used = head.match, head.ok
			if !head.ok && head.misfit != "" {
				c.misfits = append(c.misfits, fmt.Sprintf("“%s” names the unit %s", head.text, head.misfit))
				c.notes = append(c.notes, note{at, misfitNote(head.text, head.misfit)})
			}
		}
		if col.used {
			taken[col.match.column] = append(taken[col.match.column], len(c.columns))
		}
		c.columns = append(c.columns, col)
	}
	c.left = max(c.left, 0)
	if guess {
		c.guess(heads, taken)
	}
	for i, decl := range v.table.Columns {
		c.settle(decl, taken[i])
	}
	c.cutForeign()
	return c
}

// cutForeign leaves out what stands beyond a blank column and is no header of
// the table: the rows of another table, which begins higher up, may stand in the
// same row of the sheet. Words without a meaning stay, for they may be headers.
func (c *candidate) cutForeign() {
	isUsed := func(col column) bool { return col.used }
	first := slices.IndexFunc(c.columns, isUsed)
	if first < 0 {
		return
	}
	last := len(c.columns) - 1
	for !c.columns[last].used {
		last--
	}
	cut := func(columns []column) bool {
		if !slices.ContainsFunc(columns, func(col column) bool { return col.header != "" && !wordy(col.header) }) {
			return false
		}
		for i := range columns {
			columns[i].header, columns[i].other = "", true
		}
		return true
	}
	blank := func(col column) bool { return col.header == "" }
	if after := c.columns[last+1:]; len(after) > 1 && blank(after[0]) && cut(after) {
		c.right = last + 1
	}
	if before := c.columns[:first]; len(before) > 1 && blank(before[len(before)-1]) && cut(before) {
		c.left = first
	}
}

// finish counts what the candidate has and finds what it lacks.
func (c *candidate) finish(l *line) {
	has := make([]bool, len(c.vocabulary.table.Columns))
	for _, col := range c.columns {
		if col.used {
			c.matched++
			has[col.match.column] = true
		}
	}
	c.given = append(c.given, l.finder.givenFor(c.vocabulary, l, has)...)
	for i, decl := range c.vocabulary.table.Columns {
		if decl.Required && !has[i] && !slices.ContainsFunc(c.given, func(g given) bool { return g.column == i }) {
			c.missing = append(c.missing, decl.Name)
		}
	}
}

// shared counts the columns that the candidate has in common with other groups
// of a wide layout.
func (c candidate) shared() int {
	n := 0
	for _, col := range c.columns {
		if col.used && col.shared {
			n++
		}
	}
	return n
}

// settle leaves one column a meaning, or all readings of a length.
func (c *candidate) settle(decl tables.Column, taken []int) {
	if len(taken) < 2 {
		return
	}
	keep := taken[0]
	if i := slices.IndexFunc(taken, func(k int) bool { return c.columns[k].match.exact }); i >= 0 {
		keep = taken[i]
	}
	basis := c.columns[keep].match.basis
	means := 0
	for _, k := range taken {
		if c.columns[k].match.mean {
			means++
		}
	}
	for _, k := range taken {
		col := &c.columns[k]
		reading := decl.Kind == tables.KindLengths && (!col.match.mean || means == len(taken) && k == keep) && col.match.basis == basis
		if k == keep && (!col.match.mean || means == len(taken)) || reading {
			continue
		}
		col.used = false
		c.notes = append(c.notes, note{col.at, tables.Problem{
			Code: CodeColumnTwice, Severity: tables.Notice, Value: col.header,
			Message: fmt.Sprintf("a second column for %s (beside “%s”) is not used", decl.Name, c.columns[keep].header),
			Mend:    "keep one of them, or rename the one that means something else",
		}})
	}
}

func misfitNote(header, unit string) tables.Problem {
	return tables.Problem{
		Code: CodeUnitMisfit, Severity: tables.Notice, Value: header,
		Message: fmt.Sprintf("the column is not used: %s does not measure what its name says", unit),
		Mend:    "correct the unit in the header",
	}
}
