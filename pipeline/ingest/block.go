package ingest

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// newBlock makes a block of a header; its data run to the end of the sheet.
func (f *finder) newBlock(c candidate) *block {
	s, t := f.sheet, c.vocabulary.table
	b := &block{
		table: t, sheet: s, lines: c.rows, from: c.rows[len(c.rows)-1] + 1, to: s.Len(), follower: c.follower,
		columns: c.columns, notes: c.notes, byDecl: make([][]int, len(t.Columns)), bases: make([]string, len(t.Columns)),
		given: make([]value, len(t.Columns)),
	}
	for k, col := range b.columns {
		if col.used {
			b.byDecl[col.match.column] = append(b.byDecl[col.match.column], k)
		}
	}
	for i, ks := range b.byDecl {
		slices.SortStableFunc(ks, func(x, y int) int {
			return cmp.Compare(min(b.columns[x].match.pick, 1000), min(b.columns[y].match.pick, 1000)) // rim, belly, foot stay in their order
		})
		if len(ks) > 0 {
			b.bases[i] = b.columns[ks[0]].match.basis
		}
	}
	for _, g := range c.given {
		b.given[g.column] = value{has: true, text: g.text, num: tables.Absent(), day: tables.NoDate}
	}
	b.month = f.monthFor(c.line)
	if b.from < b.to && b.readUnits(s.Row(b.from)) {
		b.from++
	}
	if b.lines[0] > c.line.top {
		b.readUnits(s.Row(b.lines[0] - 1))
	}
	if !b.follower {
		b.noteGiven(c.given)
		b.noteUnused()
	}
	return b
}

// readUnits takes a row next to the header in which every cell is a unit.
func (b *block) readUnits(r grid.Row) bool {
	units := map[int]quantity.Unit{}
	for k, col := range b.columns {
		text := strings.Trim(r.Cell(col.at), "()[]")
		if text == "" || col.other {
			continue
		}
		if !col.used {
			return false
		}
		u, ok := quantity.LookUnit(text, quantity.DimensionOf(b.table.Columns[col.match.column]))
		if !ok {
			return false
		}
		units[k] = u
	}
	for k, u := range units {
		if !b.columns[k].match.unit.Given() {
			b.columns[k].match.unit = u
		}
	}
	return len(units) > 0
}

// noteUnused tells which columns of the sheet mean nothing to the table, and
// which name was perhaps meant.
func (b *block) noteUnused() {
	told := map[int]bool{}
	for _, n := range b.notes {
		told[n.at] = true
	}
	var unused, hints []string
	for _, col := range b.columns {
		if col.used || col.header == "" || told[col.at] {
			continue
		}
		unused = append(unused, "“"+shown(col.header)+"”")
		if name := b.nearName(col.header); name != "" {
			hints = append(hints, fmt.Sprintf("“%s” as %s", col.header, name))
		}
	}
	if len(unused) == 0 {
		return
	}
	mend := "nothing to do, unless one of them was meant for this table"
	if len(hints) > 0 {
		mend = "rename " + strings.Join(hints, ", ") + " if that is meant"
	}
	b.notes = append(b.notes, note{-1, tables.Problem{
		Code: CodeColumnNotUsed, Severity: tables.Notice, Value: strings.Join(unused, ", "),
		Message: fmt.Sprintf("columns without a meaning for %s are not used: %d of %d", b.table.Name, len(unused), len(b.columns)),
		Mend:    mend,
	}})
}

// nearName is the declared column, not on the sheet, whose name differs from
// the header by at most two letters; "" for none.
func (b *block) nearName(header string) string {
	if len(header) > 60 {
		return ""
	}
	words := strings.Join(takeApart(header).words, "_")
	for i, c := range b.table.Columns {
		if c.Kind != "" && len(b.byDecl[i]) == 0 && len(c.Name) >= 4 && editDistance(words, c.Name) <= min(2, len(c.Name)/3) {
			return c.Name
		}
	}
	return ""
}

// editDistance counts the letters to insert, delete, replace or swap with the
// next between a and b (optimal string alignment distance).
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(x)][len(y)]
}

// repeatsHeader reports whether a row of data is the block's header again, or
// one of its two rows, as on pages that were pasted together.
func (b *block) repeatsHeader(r grid.Row) bool {
	for _, line := range b.lines {
		same := 0
		for _, col := range b.columns {
			text := b.sheet.Cell(line, col.at)
			if text == "" || col.other {
				continue
			}
			if !strings.EqualFold(text, r.Cell(col.at)) {
				same = -1
				break
			}
			same++
		}
		if same >= 2 {
			return true
		}
	}
	return false
}

// skipRow marks a row of data that is none.
func (b *block) skipRow(i int) {
	if b.skip == nil {
		b.skip = map[int]bool{}
	}
	b.skip[i] = true
}

// empty reports whether the block's own columns have no content in the row.
func (b *block) empty(r grid.Row) bool {
	for _, col := range b.columns {
		if col.used && !col.shared && r.Code(col.at) != 0 {
			return false
		}
	}
	return true
}

// owns reports whether a column of the sheet belongs to no other table or group.
func (b *block) owns(at int) bool {
	return at >= len(b.columns) || !b.columns[at].other
}

// spot is the place of a cell of the block, or of a whole row where at is
// negative, as it stands in the file.
func (b *block) spot(row, at int) place {
	if !b.turned {
		return place{b.place.file, b.place.sheet, row, at}
	}
	if at < 0 {
		at = slices.IndexFunc(b.columns, func(col column) bool { return col.used })
	}
	return place{b.place.file, b.place.sheet, at + 1, row - 1}
}

// register is the block as later stages see it.
func (b *block) register(file, sheet string) tables.Block {
	head := b.spot(b.sheet.Number(b.lines[0]), -1)
	out := tables.Block{File: file, Sheet: sheet, Table: b.table.Name, HeaderRow: head.row, Turned: b.turned, Named: b.sheet.Headed}
	for _, col := range b.columns {
		if col.other {
			continue
		}
		bc := tables.BlockColumn{Letter: grid.Letters(col.at), Header: col.header}
		if b.turned {
			bc.Letter = strconv.Itoa(col.at + 1)
		}
		if col.used {
			bc.Column = b.table.Columns[col.match.column].Name
			bc.Unit = col.match.unit.Name
		}
		if out.Named {
			bc.Header = b.sheet.Cell(0, col.at) // without the unit that the file states
		}
		if bc.Header != "" || bc.Column != "" {
			// The header's bytes are the file's, which would stay whole in memory for them.
			bc.Header, bc.Unit = strings.Clone(bc.Header), strings.Clone(bc.Unit)
			out.Columns = append(out.Columns, bc)
		}
	}
	return out
}
