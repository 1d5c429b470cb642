package ingest

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/tables"
)

// headerDepth is how many rows with content are looked at for the first header.
const headerDepth = 60

// narrow is the most columns of a sheet on which several tables side by side,
// wide layouts and headers in two lines are looked for.
const narrow = 512

// block is a table found on a sheet.
type block struct {
	table    tables.Table
	lines    []int    // the header's rows, as indices in the sheet's rows
	from, to int      // rows of data: index of the first, and after the last
	columns  []column // one for each column of the sheet up to the table's last; those of other tables are blank
	byDecl   [][]int  // for each declared column the indices in columns that feed it, in order of reading
	given    []value  // for each declared column a value that holds for all rows, from the sheet's name or a line above
	month    month    // completes dates without a year
	notes    []note   // what there is to say about its columns
	bases    []string
	skip     map[int]bool // rows of data that are titles of a header that stands again

	turned   bool // the sheet is a turned copy: its rows are the columns of the file's sheet
	follower bool // the second or a later group of a wide layout
	sheet    *grid.Sheet
	place    place // of the header row
	index    int32 // in the register of blocks
}

// column is one column of the sheet within a block.
type column struct {
	at     int // column of the sheet, from 0
	header string
	used   bool
	shared bool // also feeds the other groups of a wide layout
	other  bool // belongs to another table or group
	match  match
	habit  habit            // how its cells are written, see survey
	words  map[string]value // words of a choice that have been read before
}

// note is a problem about a column, told at its header.
type note struct {
	at int // column of the sheet, -1 for the whole header row
	tables.Problem
}

// hints are what is known of a sheet from elsewhere.
type hints struct {
	molds map[string]bool // names of molds that a molds sheet lists, by nameKey
	// rename says how to read the header of a column (counted from 0), as a
	// mapping file settles it: "wall (mm)" for a header that nobody knows, "" to
	// leave the column out. It is nil where nothing is settled.
	rename func(at int, header string) (as string, settled bool)
	rule   *mapping.Rule // what the mapping file says of the sheet; nil where it says nothing
}

// header is one or two rows understood as the header of a table, or of several
// side by side.
type header struct {
	rows  []int // indices in the sheet's rows
	parts []candidate
	score int
}

// candidate is a header understood as that of one table.
type candidate struct {
	vocabulary  vocabulary
	line        *line
	rows        []int
	left, right int // columns of the sheet that belong to it
	columns     []column
	matched     int // columns of the sheet that mean something
	guessed     int // … by a likeness of names only
	given       []given
	missing     []string
	misfits     []string
	notes       []note
	follower    bool
}

// score ranks ways to understand a header: columns with a meaning, those that
// are only like a name count half.
func (c candidate) score() int { return 2*c.matched - c.guessed }

// finder looks for tables on one sheet.
type finder struct {
	sheet *grid.Sheet
	hints hints
	near  candidate // the fullest row that lacks a required column

	turnedFrom *grid.Sheet // the sheet as it stands in the file, where sheet is a turned copy
}

// recognise finds the tables on a sheet. A header is a row, or two, that names
// all required columns of a table; rows above the first are titles, further down a
// row that is another header begins the next table, and other tables may stand
// beside. Where there is none, the sheet may be turned. Where there is none
// either, why and near say what came closest.
func recognise(s *grid.Sheet, h hints) recognised {
	f := &finder{sheet: s, hints: h}
	blocks := f.region(0, s.Len(), 0, s.Width())
	if len(blocks) == 0 {
		if blocks = f.turned(); len(blocks) == 0 {
			return recognised{why: whyNot(s, f.near), near: f.near, rule: h.rule}
		}
	}
	slices.SortStableFunc(blocks, func(a, b *block) int { return cmp.Compare(a.lines[0], b.lines[0]) })
	return recognised{blocks: blocks, rule: h.rule}
}

// recognised is what was found on a sheet.
type recognised struct {
	blocks []*block
	why    string    // why nothing was
	near   candidate // what came closest then
	rule   *mapping.Rule
}

// region finds the tables between rows and columns.
func (f *finder) region(from, to, left, right int) []*block {
	best, near := f.first(from, to, left, right)
	if better(near, f.near) {
		f.near = near
	}
	if best.score == 0 || near.matched > best.parts[0].matched+1 && len(best.parts) == 1 {
		return nil
	}
	return f.under(best, from, to, left, right)
}

// under makes the blocks of a header and finds the tables below and beside them.
func (f *finder) under(h header, top, to, left, right int) []*block {
	first, last := extent(h.parts)
	var blocks []*block
	if right-left <= narrow {
		if beside := f.region(top, to, last+1, right); right-last > 2 && len(beside) > 0 {
			blocks, right = append(blocks, beside...), last+1
		}
		if beside := f.region(top, to, left, first-1); first-left > 2 && len(beside) > 0 {
			blocks, left = append(blocks, beside...), first
		}
	}
	for len(h.parts) > 0 {
		n := 1
		for n < len(h.parts) && h.parts[n].follower {
			n++
		}
		l, r := left, right
		if n < len(h.parts) {
			r = h.parts[n].left
		}
		blocks = append(blocks, f.stack(h.parts[:n], to, l, r)...)
		h.parts, left = h.parts[n:], r
	}
	return blocks
}

// stack makes the blocks of one table, or of the groups of a wide one, and finds
// what stands below between the columns.
func (f *finder) stack(parts []candidate, to, left, right int) []*block {
	var blocks []*block
	for _, c := range parts {
		b := f.newBlock(c)
		b.to = to
		blocks = append(blocks, b)
	}
	lead := blocks[0]
	next, found := f.next(lead, left, right)
	if found {
		lead.to = f.titlesAbove(lead, next.rows[0], left, right)
	}
	for _, b := range blocks {
		b.to, b.from, b.skip = lead.to, min(lead.from, lead.to), lead.skip
	}
	if found {
		blocks = append(blocks, f.under(next, lead.to, to, left, right)...)
	}
	return blocks
}

func extent(parts []candidate) (first, last int) {
	first = parts[0].left
	for _, c := range parts {
		first, last = min(first, c.left), max(last, c.right)
	}
	return first, last
}

// first is the first header between rows and columns, or one of the two rows
// below it that is one with more columns. Near is the fullest row that lacks a
// required column.
func (f *finder) first(from, to, left, right int) (best header, near candidate) {
	for i := from; i < min(to, from+headerDepth) && right-left >= 2; i++ {
		if best.score > 0 && i > best.rows[0]+2 {
			break
		}
		complete, partial := f.at(i, from, to, left, right, true)
		if complete.score > best.score {
			best = complete
		}
		if better(partial, near) {
			near = partial
		}
	}
	return best, near
}

// at understands a row, alone or with the one below it, as a header.
func (f *finder) at(i, top, to, left, right int, guess bool) (complete header, partial candidate) {
	single := f.oneLine(i, top)
	complete, partial = f.understand(single, left, right, guess)
	if i+1 >= to || right-left > narrow {
		return complete, partial
	}
	double, ok := f.twoLines(i, top, left, right)
	if !ok {
		return complete, partial
	}
	both, near := f.understand(double, left, right, guess)
	if below, _ := f.understand(f.oneLine(i+1, top), left, right, guess); both.score > 0 && below.score >= both.score {
		return complete, partial // the upper row is a title
	}
	if both.score > complete.score || both.score == complete.score && both.score > 0 && double.whole(both) {
		complete = both
	}
	if better(near, partial) {
		partial = near
	}
	return complete, partial
}

// next finds the next header below the block's own. One that is the same again
// is none, unless a line above it names another mold.
func (f *finder) next(b *block, left, right int) (header, bool) {
	for i := b.from; i < b.to; i++ {
		if !couldBeHeader(b.sheet.Row(i), left, right) {
			continue
		}
		if b.repeatsHeader(b.sheet.Row(i)) {
			titles := f.titlesAbove(b, i, left, right)
			if again, _ := f.at(i, titles, b.to, left, right, false); again.score > 0 && !sameGiven(again.parts[0].given, b.given) {
				return again, true
			}
			for k := titles; k < i; k++ {
				b.skipRow(k)
			}
			continue
		}
		if h, _ := f.at(i, f.titlesAbove(b, i, left, right), b.to, left, right, false); h.score > 0 {
			return h, true
		}
	}
	return header{}, false
}

// titlesAbove is the first of the rows directly above a header that are its
// titles: at most two cells, and not all that a row of the table above needs.
func (f *finder) titlesAbove(b *block, row, left, right int) int {
	s := f.sheet
	for row-1 >= b.from {
		cells, needed := 0, 0
		for at := left; at < min(right, s.Row(row-1).Width()); at++ {
			if s.Cell(row-1, at) != "" {
				cells++
			}
		}
		for i, decl := range b.table.Columns {
			if decl.Required && len(b.byDecl[i]) > 0 {
				needed++
			}
		}
		apart := cells == 1 && row-2 >= b.from && s.Number(row-2) < s.Number(row-1)-1 // below an empty row
		if cells > 2 || cells >= needed && !apart {
			break
		}
		row--
	}
	return row
}

// couldBeHeader tells quickly that most rows of data are none: a header has at
// least two cells, all of them words.
func couldBeHeader(r grid.Row, left, right int) bool {
	cells := 0
	for at := left; at < min(right, r.Width()); at++ {
		c := r.Cell(at)
		if c == "" {
			continue
		}
		if len(c) > 80 || c[0] >= '0' && c[0] <= '9' || !strings.ContainsFunc(c, unicode.IsLetter) {
			return false
		}
		cells++
	}
	return cells >= 2
}

// understand reads a line as the header of each table in turn, and gives the
// best way in which all required columns are there and the best without.
func (f *finder) understand(l *line, left, right int, guess bool) (complete header, partial candidate) {
	var single candidate
	for _, v := range f.vocabularies() {
		c := l.as(v, l.read(v), left, right, guess)
		if len(c.missing) == 0 && c.matched >= 2 {
			if betterHere(c, single, f.sheet.Name) {
				single = c
			}
		} else if c.matched >= 2 && better(c, partial) {
			partial = c
		}
	}
	if single.matched > 0 {
		complete = header{rows: l.rows, parts: []candidate{single}, score: single.score()}
	}
	if right-left > narrow {
		return complete, partial
	}
	for _, parts := range [][]candidate{l.beside(left, right, f.sheet.Name), f.unpivot(l, left, right)} {
		if sum := groupScore(parts); sum > complete.score {
			complete = header{rows: l.rows, parts: parts, score: sum}
		}
	}
	return complete, partial
}

// better prefers more columns with a meaning; on a tie the earlier one stays.
func better(a, b candidate) bool { return a.score() > b.score() }

// betterHere breaks ties between tables in one row: the one the sheet is named
// after, then the one with more required columns.
func betterHere(a, b candidate, sheetName string) bool {
	if a.score() != b.score() || b.matched == 0 {
		return a.score() > b.score()
	}
	named := func(c candidate) int {
		return strings.Count(strings.Join(fold(sheetName), " "), strings.TrimSuffix(c.vocabulary.table.Name, "s"))
	}
	return cmp.Or(cmp.Compare(named(a), named(b)), cmp.Compare(required(a.vocabulary.table), required(b.vocabulary.table))) > 0
}

func required(t tables.Table) int {
	n := 0
	for _, c := range t.Columns {
		if c.Required {
			n++
		}
	}
	return n
}

// whyNot says in plain words why no table was found.
func whyNot(s *grid.Sheet, near candidate) string {
	switch {
	case s.Why != "":
		return s.Why
	case s.Len() == 0:
		return "the sheet is empty"
	case near.matched == 0:
		return "no row names the columns of a table that is known here"
	}
	why := fmt.Sprintf("row %d looks like the header of %s, but there is no column for %s",
		s.Number(near.rows[0]), near.vocabulary.table.Name, list(near.missing))
	if len(near.misfits) > 0 {
		why += "; " + near.misfits[0] + ", which does not measure that"
	}
	return why
}

// list joins words as people do: a, b and c.
func list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// columnsKnown is how many columns of the fullest header near the top of a
// sheet are known.
func columnsKnown(s *grid.Sheet) int {
	f := &finder{sheet: s}
	most := 0
	for i := range min(s.Len(), headerDepth) {
		l := f.oneLine(i, 0)
		for _, v := range vocabularies() {
			most = max(most, l.as(v, l.read(v), 0, s.Row(i).Width(), false).matched)
		}
	}
	return most
}
