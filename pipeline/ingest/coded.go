package ingest

import (
	"context"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// coded reads the casts of a block by the codes of their cells. What a cell was read
// as depends on its text alone, so that each text is read once; then only rows with a
// cell that asks for care are read one by one, and all others are gathered by codes,
// column by column. What comes out is the same as of reading each row.
type coded struct {
	r      *reader
	b      *block
	shelf  *castShelf
	rows   *rowReader // that knows what every text was read as
	anchor int        // column of the block that every row of data fills
	head   []headCells
	single []int    // columns of the block that feed a declared column alone
	walls  []int    // columns of the block with readings of the wall
	cares  [][]byte // for each column of the block what each code asks for, nil where none asks for anything
	none   []int    // rows that are no data, ascending
}

// headCells are the codes of a column whose texts are those of a line of the header.
type headCells struct {
	at    int
	codes []bool
}

// What a cell asks for.
const (
	care byte = 1 << iota // its row is to be read by itself
	wall                  // nothing: it holds a wall
)

// byCodes prepares to read the rows of a block by codes; nil where they are to be read
// one by one: of other tables, of several records a row, with formulas without values,
// or where texts that hardly ever repeat are more than names.
func (r *reader) byCodes(b *block, look grid.SecondLook) *coded {
	c := &coded{r: r, b: b, shelf: r.shelves.casts, anchor: -1}
	if r.opt.rowByRow || b.table.Name != c.shelf.pack.Table().Name || len(look.Formulas) > 0 || b.follower || b.isDaySheet() {
		return nil
	}
	for i, decl := range b.table.Columns {
		for _, k := range b.byDecl[i] {
			col := &b.columns[k]
			repeats := b.sheet.Repeats(col.at)
			if col.shared || !repeats && (decl.Kind != tables.KindID && decl.Kind != tables.KindText || decl.Required) {
				return nil
			}
		}
		switch ks := b.byDecl[i]; {
		case len(ks) == 0:
		case decl.Kind == tables.KindLengths && i == c.shelf.at.wall:
			c.walls = ks
		case decl.Kind == tables.KindLengths:
			return nil
		default:
			c.single = append(c.single, ks[0])
			if decl.Required && c.anchor < 0 && decl.Kind == tables.KindID {
				c.anchor = ks[0]
			}
		}
	}
	if c.anchor < 0 || !c.findHead() {
		return nil
	}
	return c
}

// findHead finds the texts by which a row could be the header again, false where no
// column with such texts repeats.
func (c *coded) findHead() bool {
	for _, line := range c.b.lines {
		texts := 0
		var head headCells
		for _, col := range c.b.columns {
			text := c.b.sheet.Cell(line, col.at)
			if text == "" || col.other {
				continue
			}
			texts++
			if head.codes != nil || !col.used || !c.b.sheet.Repeats(col.at) {
				continue
			}
			head = headCells{col.at, make([]bool, c.b.sheet.Codes(col.at))}
			for row, code := range c.b.codes(&col) {
				head.codes[code] = strings.EqualFold(text, c.b.sheet.Cell(row, col.at))
			}
		}
		switch {
		case head.codes != nil && slices.Contains(head.codes, true):
			c.head = append(c.head, head)
		case head.codes == nil && texts > 1:
			return false
		}
	}
	return true
}

// findNone finds the rows that are no data: blank ones, those that were marked, and
// the header again.
func (c *coded) findNone() {
	var maybe []int
	for i := range c.b.skip {
		maybe = append(maybe, i)
	}
	look := func(at int, asks func(code uint32) bool) {
		var room [roomForCodes]uint32
		for from := c.b.from; from < c.b.to; from += len(room) {
			codes := room[:min(len(room), c.b.to-from)]
			c.b.sheet.CodesFrom(from, at, codes)
			for i, code := range codes {
				if asks(code) {
					maybe = append(maybe, from+i)
				}
			}
		}
	}
	for _, h := range c.head {
		look(h.at, func(code uint32) bool { return h.codes[code] })
	}
	if at := c.b.columns[c.anchor].at; c.b.firstsOf(at).blanks {
		look(at, func(code uint32) bool { return code == 0 })
	}
	slices.Sort(maybe)
	for _, i := range slices.Compact(maybe) {
		if i >= c.b.from && i < c.b.to && c.b.noData(c.b.sheet.Row(i), i) {
			c.none = append(c.none, i)
		}
	}
}

// read reads the rows. Where the block is the last that needs the sheet, spent, the
// cells are given up as they are read.
func (c *coded) read(ctx context.Context, spent bool) error {
	c.findNone()
	c.learn()
	gone, extras, err := c.judge(ctx)
	if err != nil {
		return err
	}
	return c.gather(ctx, gone, extras, spent)
}

// learn reads each text of the columns once, in the order of the rows.
func (c *coded) learn() {
	c.rows = newRowReader(c.b, nil, c.r.today)
	c.rows.remember()
	c.cares = make([][]byte, len(c.b.columns))
	notes := make([][]note, len(c.b.columns))
	for k, col := range c.b.columns {
		if c.rows.known[k] != nil {
			c.b.firstsOf(col.at) // found before several look at them at a time
		}
	}
	inTurns(len(c.b.columns), func(k int) {
		if c.rows.known[k] == nil {
			return
		}
		own := c.b.copied()
		c.cares[k] = c.learnColumn(c.rows.on(own), k)
		notes[k] = own.notes
	})
	for _, all := range notes {
		for _, n := range all {
			c.b.noteOnce(n.at, n.Problem)
		}
	}
}

// on is a reader of the same rows with another copy of the block.
func (r *rowReader) on(own *block) *rowReader {
	out := *r
	out.b, out.record, out.findings, out.lists = own, make([]value, len(r.record)), nil, nil
	for i := range out.record {
		out.record[i] = absent()
	}
	return &out
}

// learnColumn reads the texts of a column and tells what each asks for, nil where all
// ask for nothing.
func (c *coded) learnColumn(r *rowReader, k int) []byte {
	col := &r.b.columns[k]
	decl := &r.b.table.Columns[col.match.column]
	isWall := decl.Kind == tables.KindLengths
	asks := make([]byte, len(r.known[k]))
	r.known[k][0].state = isBlank
	uses, any := c.firstsOfData(col.at), false
	for _, use := range uses.uses {
		row := r.b.sheet.Row(use.row)
		e := r.look(row, k, decl)
		if e.state == isSeveral {
			c.learnReadings(r, row, k, e)
		}
		asks[use.code] = c.asks(r, row, col, decl, e)
		any = any || isWall || asks[use.code] != 0
	}
	if decl.Required && !isWall && uses.blanks {
		asks[0], any = care, true
	}
	if !any {
		return nil
	}
	return asks
}

// asks is what a cell asks for that was read. It takes the time that stands with a
// date, which is told.
func (c *coded) asks(r *rowReader, row grid.Row, col *column, decl *tables.Column, e *known) byte {
	isWall := decl.Kind == tables.KindLengths
	switch {
	case e.state == isBlank && decl.Required && !isWall:
		return care
	case e.state == isBlank:
		return 0
	case e.state == isSeveral && len(r.findings) == 0 && len(e.value.nums) > 0:
		return wall
	case e.state != isRead || e.fault != nil || !e.value.has:
		return care | wall
	case isWall:
		return wall
	}
	if decl.Kind == tables.KindDate {
		r.findings = r.findings[:0]
		r.afterDate(col.match.column, col, row, e.value)
		if len(r.findings) > 0 {
			return care
		}
	}
	return 0
}

// learnReadings reads a cell of several readings. Where that leaves nothing to say,
// they are kept.
func (c *coded) learnReadings(r *rowReader, row grid.Row, k int, e *known) {
	col := &r.b.columns[k]
	r.findings, r.lists = r.findings[:0], nil
	r.eachReading(row.Cell(col.at), col.match.column, col, r.b.table.Columns[col.match.column])
	e.value.nums = r.lists
}

// firstsOfData are the first uses of the codes of a column in rows of data.
func (c *coded) firstsOfData(at int) *firsts {
	f := c.b.firstsOf(at)
	if !slices.ContainsFunc(f.uses, func(use firstUse) bool {
		_, none := slices.BinarySearch(c.none, use.row)
		return none
	}) && (len(c.none) == 0 || !f.blanks) {
		return f
	}
	bounds := append(append([]int{c.b.from - 1}, c.none...), c.b.to)
	return c.b.firstsBetween(at, bounds)
}
