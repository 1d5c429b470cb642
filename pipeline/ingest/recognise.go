package ingest

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

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
	skip     map[int]bool    // rows of data that are titles of a header that stands again
	firsts   map[int]*firsts // by column of the sheet, once they were looked for

	turned   bool // the sheet is a turned copy: its rows are the columns of the file's sheet
	daySheet bool // of casts with planned days, some of which may not have been made
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

	words      map[string]bool    // texts that have been looked up: whether they name a column of any table
	headings   map[string]heading // texts that have been taken apart
	turnedFrom *grid.Sheet        // the sheet as it stands in the file, where sheet is a turned copy
}

// recognise finds the tables on a sheet. A header is a row, or two, that names
// all required columns of a table; rows above the first are titles, further down a
// row that is another header begins the next table, and other tables may stand
// beside. Where there is none, the sheet may be turned. Where there is none
// either, why and near say what came closest.
func recognise(s *grid.Sheet, h hints) recognised {
	f := &finder{sheet: s, hints: h}
	if s.Headed {
		return f.headed()
	}
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
	case near.matched == 0 && s.Headed:
		return "its columns are those of no table that is known here"
	case near.matched == 0:
		return "no row names the columns of a table that is known here"
	}
	where := fmt.Sprintf("row %d looks like the header", s.Number(near.rows[0]))
	if s.Headed {
		where = "the columns look like those"
	}
	why := fmt.Sprintf("%s of %s, but there is no column for %s", where, near.vocabulary.table.Name, list(near.missing))
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
		if f.couldName(i) <= most {
			continue
		}
		l := f.oneLine(i, 0)
		for _, v := range vocabularies() {
			c, known := l.matched(v, l.read(v), func(int) bool { return true }, false), 0
			for _, col := range c.columns {
				if col.used {
					known++
				}
			}
			most = max(most, known)
		}
	}
	return most
}

// couldName is how many cells of a row are of the kind that names columns.
func (f *finder) couldName(i int) int {
	row, n := f.sheet.Row(i), 0
	for at := range row.Width() {
		if isHeading(row.Cell(at)) {
			n++
		}
	}
	return n
}
