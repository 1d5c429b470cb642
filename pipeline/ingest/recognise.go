package ingest

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// headerDepth is how many rows with content are looked at for the first header.
const headerDepth = 60

// block is a table found on a sheet.
type block struct {
	table    tables.Table
	header   int      // index in the sheet's rows
	from, to int      // rows of data: index of the first, and after the last
	columns  []column // one for each cell of the header row, left to right
	byDecl   [][]int  // for each declared column the indices in columns that feed it, in order of reading
	notes    []note   // what there is to say about its columns
	bases    []string

	sheet *grid.Sheet
	place place // of the header row
	index int32 // in the register of blocks
}

// column is one column of the sheet within a block.
type column struct {
	at     int // column of the sheet, from 0
	header string
	used   bool
	match  match
	habit  habit            // how its cells are written, see survey
	words  map[string]value // words of a choice that have been read before
}

// note is a problem about a column, told at its header.
type note struct {
	at int // column of the sheet, -1 for the whole header row
	tables.Problem
}

// candidate is a header row understood as the header of one table.
type candidate struct {
	vocabulary vocabulary
	row        int // index in the sheet's rows
	columns    []column
	matched    int // columns of the sheet that mean something
	missing    []string
	misfits    []string
	notes      []note
}

// recognise finds the tables on a sheet. A header is a row that names all
// required columns of a table; rows above the first are titles, and further down
// a row that is another header begins the next table. Where there is none, why
// says what came closest.
func recognise(s *grid.Sheet) (blocks []*block, why string) {
	best, near := firstHeader(s)
	if best.matched == 0 || near.matched > best.matched+1 {
		return nil, whyNot(s, near)
	}
	for {
		b := newBlock(s, best)
		next, found := nextHeader(s, b)
		blocks = append(blocks, b)
		if !found {
			return blocks, ""
		}
		b.to = next.row
		best = next
	}
}

// firstHeader is the first row that is a header, or one of the two rows below
// it that is one with more columns. Near is the fullest row that lacks a
// required column.
func firstHeader(s *grid.Sheet) (best, near candidate) {
	for i := range min(s.Len(), headerDepth) {
		if best.matched > 0 && i > best.row+2 {
			break
		}
		complete, partial := understand(s, i)
		if better(complete, best) {
			best = complete
		}
		if better(partial, near) {
			near = partial
		}
	}
	return best, near
}

// nextHeader finds the next header below the block's own that is not the same again.
func nextHeader(s *grid.Sheet, b *block) (candidate, bool) {
	for i := b.from; i < b.to; i++ {
		if !couldBeHeader(s.Row(i)) || b.repeatsHeader(s.Row(i)) {
			continue
		}
		if c, _ := understand(s, i); c.matched > 0 {
			return c, true
		}
	}
	return candidate{}, false
}

// couldBeHeader tells quickly that most rows of data are none: a header has at
// least two cells, all of them words.
func couldBeHeader(r grid.Row) bool {
	cells := 0
	for at := range r.Width() {
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

// understand reads a row as the header of each table in turn, and gives the
// best table whose required columns are all there and the best without.
func understand(s *grid.Sheet, row int) (complete, partial candidate) {
	headings := make([]heading, s.Row(row).Width())
	for at := range headings {
		headings[at] = newHeading(s.Cell(row, at))
	}
	for _, v := range vocabularies() {
		c := asHeader(s, row, headings, v)
		least := 2
		if len(c.missing) == 0 && c.matched >= least {
			if betterHere(c, complete, s.Name) {
				complete = c
			}
		} else if c.matched >= least && better(c, partial) {
			partial = c
		}
	}
	return complete, partial
}

// better prefers more columns with a meaning; on a tie the earlier one stays.
func better(a, b candidate) bool { return a.matched > b.matched }

// betterHere breaks ties between tables in one row: the one the sheet is named
// after, then the one with more required columns.
func betterHere(a, b candidate, sheetName string) bool {
	if a.matched != b.matched || b.matched == 0 {
		return a.matched > b.matched
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

// asHeader matches every cell of the row with the columns of one table. A
// column that is named twice is taken once: by its own name if it stands there,
// else the first.
func asHeader(s *grid.Sheet, row int, headings []heading, v vocabulary) candidate {
	c := candidate{vocabulary: v, row: row}
	taken := make([][]int, len(v.table.Columns)) // indices in c.columns
	for at := range s.Row(row).Width() {
		col := column{at: at, header: s.Cell(row, at)}
		var misfit string
		if col.header != "" {
			if col.match, misfit, col.used = v.match(headings[at]); misfit != "" {
				c.misfits = append(c.misfits, fmt.Sprintf("“%s” names the unit %s", col.header, misfit))
				c.notes = append(c.notes, note{at, misfitNote(col.header, misfit)})
			}
		}
		if col.used {
			taken[col.match.column] = append(taken[col.match.column], len(c.columns))
		}
		c.columns = append(c.columns, col)
	}
	for i, decl := range v.table.Columns {
		c.settle(decl, taken[i])
		if decl.Required && !slices.ContainsFunc(taken[i], func(k int) bool { return c.columns[k].used }) {
			c.missing = append(c.missing, decl.Name)
		}
	}
	for _, col := range c.columns {
		if col.used {
			c.matched++
		}
	}
	return c
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
		s.Number(near.row), near.vocabulary.table.Name, list(near.missing))
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
