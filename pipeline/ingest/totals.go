package ingest

import (
	"math"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// Rows of totals and averages, at the bottom or in the middle of a table.

// totalWords begin or end the cell that names such a row.
var totalWords = []string{
	"total", "totals", "sum", "sums", "subtotal", "subtotals", "average", "averages", "avg", "mean", "means", "median",
	"count", "min", "minimum", "max", "maximum", "ø", "Σ", "σ", "stdev", "sd", "all",
}

// mostUnnamed is how many rows without a word are compared with sums in a block,
// so that a long log of rows without names costs little.
const mostUnnamed = 50

// totals tells rows of totals from rows of data.
type totals struct {
	b       *block
	since   int // first row after the last total
	unnamed int
	words   map[cellText]string // of the texts met before: logs repeat themselves
	needed  []needed            // columns that every row of the table has, nil where a quick look does not tell enough
}

// needed is a required column of names or dates.
type needed struct {
	at    int
	dates bool
	words []byte // of dates, by code: 1 for no word of a total, 2 for one, 0 for not looked at
}

// quickly prepares a quick look, which tells that most rows are no totals: they
// have all names and dates, and the dates are none of the words. It is of use
// where the texts of dates repeat and more than a name is needed.
func (t *totals) quickly() {
	if t.onlyName() {
		return
	}
	var all []needed
	for i, decl := range t.b.table.Columns {
		if !decl.Required || len(t.b.byDecl[i]) == 0 || decl.Kind != tables.KindID && decl.Kind != tables.KindDate {
			continue
		}
		n := needed{at: t.b.columns[t.b.byDecl[i][0]].at, dates: decl.Kind == tables.KindDate}
		if n.dates && t.b.sheet.Kind(n.at) == grid.IsText {
			if !t.b.sheet.Repeats(n.at) {
				return
			}
			n.words = make([]byte, t.b.sheet.Codes(n.at))
		}
		all = append(all, n)
	}
	t.needed = all
}

// asks tells by the codes of the needed columns which rows may be totals: those that
// lack a name or a date, or have a word of a total for one. Without a quick look it is
// nil: all may be.
func (t *totals) asks() []asking {
	var all []asking
	for _, n := range t.needed {
		all = append(all, asking{n.at, func(code uint32, row int) bool {
			if code == 0 || n.words == nil {
				return code == 0
			}
			if n.words[code] == 0 {
				n.words[code] = 1
				if totalWord(t.b.sheet.Cell(row, n.at)) != "" {
					n.words[code] = 2
				}
			}
			return n.words[code] == 2
		}})
	}
	return all
}

// cellText is a text of a column.
type cellText struct {
	at   int
	code uint32
}

// word is the word of a total in a cell.
func (t *totals) word(row grid.Row, at int) string {
	if t.b.sheet.Kind(at) != grid.IsText {
		return ""
	}
	if !t.b.sheet.Repeats(at) {
		return totalWord(row.Cell(at))
	}
	key := cellText{at, row.Code(at)}
	w, known := t.words[key]
	if !known {
		w = totalWord(row.Cell(at))
		t.words[key] = w
	}
	return w
}

// markTotals finds the rows of totals of a block, so that they are passed over.
func (b *block) markTotals() {
	t := totals{b: b, since: b.from, words: map[cellText]string{}}
	t.quickly()
	for i := range b.asking(t.asks()) {
		row := b.sheet.Row(i)
		if b.skip[i] || b.empty(row) || !t.isTotal(row, i) {
			continue
		}
		b.skipRow(i)
		if !b.follower {
			b.noteOnce(-1, tables.Problem{
				Code: CodeTotalRow, Severity: tables.Notice,
				Message: "rows of totals or averages stand among the rows of the table; they are no data",
				Mend:    "nothing to do",
			})
		}
	}
}

// isTotal reports whether a row is one: a word such as total stands where a name
// or a date should, or no name or date stands there at all and the numbers are
// sums or means of those above.
func (t *totals) isTotal(row grid.Row, i int) bool {
	word, lacks := t.lacks(row)
	if !lacks || word == "" && !t.sums(row, i) {
		return false
	}
	t.since = i + 1
	return true
}

// lacks finds a word of a total in the row, and reports whether the row lacks
// what every row of the table has: a required name, or its date.
func (t *totals) lacks(row grid.Row) (word string, lacks bool) {
	for i, decl := range t.b.table.Columns {
		if !decl.Required || len(t.b.byDecl[i]) == 0 || decl.Kind != tables.KindID && decl.Kind != tables.KindDate {
			continue
		}
		at := t.b.columns[t.b.byDecl[i][0]].at
		switch w := t.word(row, at); {
		case row.Code(at) == 0:
			lacks = true
		case w != "" && decl.Kind == tables.KindDate:
			word, lacks = w, true
		}
	}
	if word != "" || !lacks && !t.onlyName() {
		return word, lacks
	}
	for at := range min(row.Width(), narrow) {
		if !t.b.owns(at) {
			continue
		}
		if w := t.word(row, at); w != "" {
			return w, lacks || t.onlyName() && !t.filled(row, at)
		}
	}
	return "", lacks
}

// onlyName reports whether the table requires one name and no date, so that a
// word of a total can only stand in its place.
func (t *totals) onlyName() bool {
	n := 0
	for i, decl := range t.b.table.Columns {
		if decl.Required && len(t.b.byDecl[i]) > 0 && (decl.Kind == tables.KindID || decl.Kind == tables.KindDate) {
			n++
		}
	}
	return n == 1
}

// filled reports whether a column of words or names other than the one at has
// content.
func (t *totals) filled(row grid.Row, at int) bool {
	return slices.ContainsFunc(t.b.columns, func(col column) bool {
		return col.used && col.at != at && quantity.DimensionOf(t.b.table.Columns[col.match.column]) == quantity.NoDimension && row.Cell(col.at) != ""
	})
}

// totalWord is the word of a total with which a text begins or ends.
func totalWord(text string) string {
	if text == "" || len(text) > 40 || text[0] >= '0' && text[0] <= '9' {
		return ""
	}
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" :.,;()/-=_", r) })
	if len(words) == 0 || len(words) > 4 {
		return ""
	}
	for _, w := range []string{words[0], words[len(words)-1]} {
		if slices.Contains(totalWords, w) && (w != "all" || len(words) == 1) {
			return w
		}
	}
	return ""
}

// sums reports whether a row without any name or date holds numbers of which
// each is the sum or the mean of the column since the last total, or of the whole.
func (t *totals) sums(row grid.Row, i int) bool {
	if t.unnamed >= mostUnnamed || i-t.b.from < 2 {
		return false
	}
	numbers := 0
	for _, col := range t.b.columns {
		text := row.Cell(col.at)
		if !col.used || text == "" {
			continue
		}
		x, ok := quantity.Plain(text)
		if !ok {
			return false
		}
		if numbers++; !t.isSum(col, x, t.since, i) && !t.isSum(col, x, t.b.from, i) {
			t.unnamed++
			return false
		}
	}
	return numbers > 0
}

func (t *totals) isSum(col column, x float64, from, to int) bool {
	sum, n := 0.0, 0
	for i := from; i < to; i++ {
		if y, ok := quantity.Plain(t.b.sheet.Cell(i, col.at)); ok {
			sum += y
			n++
		}
	}
	if n < 2 {
		return false
	}
	near := func(y float64) bool { return math.Abs(x-y) <= 0.006*math.Max(1, math.Abs(y)/10) }
	return near(sum) || near(sum/float64(n))
}
