package ingest

import (
	"context"
	"slices"
	"sync/atomic"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// judged is what came of a share of the rows.
type judged struct {
	share
	gone   []int          // rows that do not go into the studio, those that are no data included
	extras []uint64       // of the other rows, nil where no cell is beside the table's
	more   map[string]int // further problems by code, which are only counted
}

// judge reads the rows that ask for care, tells of casts without a wall, and finds
// what becomes of each row.
func (c *coded) judge(ctx context.Context) (gone []int, extras []uint64, err error) {
	n := c.b.to - c.b.from
	count := max(1, (n+shareRows-1)/shareRows)
	full := map[string]*atomic.Bool{CodeNoWall: {}, CodeNoWallOnFaulty: {}}
	withExtras := c.hasExtras()
	inOrder(count, func() func(k int) *judged {
		rows := c.rows.on(c.b.copied())
		return func(k int) *judged {
			s := &judged{more: map[string]int{}}
			s.from, s.to = c.b.from+n*k/count, c.b.from+n*(k+1)/count
			if ctx.Err() == nil {
				c.judgeShare(rows, s, full, withExtras)
			}
			s.notes, rows.b.notes = rows.b.notes, nil
			return s
		}
	}, func(s *judged) {
		for _, n := range s.notes {
			c.b.noteOnce(n.at, n.Problem)
		}
		for _, p := range s.problems {
			c.r.problems.add(p.place, p.Problem)
		}
		for code, n := range s.more {
			c.r.problems.count(c.b.place.file, code, n)
		}
		for code, is := range full {
			is.Store(c.r.problems.full(c.b.place.file, code))
		}
		gone = append(gone, s.gone...)
		extras = append(extras, s.extras...)
	})
	return gone, extras, ctx.Err()
}

// judgeShare goes over the rows of a share.
func (c *coded) judgeShare(rows *rowReader, s *judged, full map[string]*atomic.Bool, withExtras bool) {
	fates := c.r.accounts.byBlock[c.b.index].fates[s.from-c.b.from : s.to-c.b.from]
	for i := range fates {
		fates[i] = used
	}
	asks := c.asksOf(s.from, s.to)
	first, _ := slices.BinarySearch(c.none, s.from)
	none := c.none[first:]
	result := c.results()
	for i, ask := range asks {
		at := s.from + i
		switch {
		case len(none) > 0 && none[0] == at:
			none = none[1:]
			fates[i] = noData
			s.gone = append(s.gone, at)
			continue
		case ask&care != 0:
			row := c.b.sheet.Row(at)
			rows.read(row)
			var keep bool
			if keep, fates[i] = s.judge(rows.b, rows, row, true); !keep {
				s.gone = append(s.gone, at)
				continue
			}
		case ask&wall == 0 && len(c.walls) > 0:
			s.noWall(c, at, result(at), full)
		}
		if withExtras {
			s.extras = append(s.extras, rows.extra(c.b.sheet.Row(at)))
		}
	}
}

// asksOf is what the rows from one up to another ask for.
func (c *coded) asksOf(from, to int) []byte {
	asks := make([]byte, to-from)
	var room [roomForCodes]uint32
	for k, of := range c.cares {
		if of == nil {
			continue
		}
		for at := from; at < to; at += len(room) {
			codes := room[:min(len(room), to-at)]
			c.b.sheet.CodesFrom(at, c.b.columns[k].at, codes)
			for i, code := range codes {
				asks[at-from+i] |= of[code]
			}
		}
	}
	for _, k := range c.single {
		if c.rows.known[k] == nil {
			c.askOnce(asks, from, k)
		}
	}
	return asks
}

// askOnce asks for care where a name that hardly ever repeats cannot be one.
func (c *coded) askOnce(asks []byte, from, k int) {
	at := c.b.columns[k].at
	if c.b.sheet.Kind(at) != grid.IsText {
		return
	}
	for i := range asks {
		if text := c.b.sheet.Cell(from+i, at); text != "" && (text[0] == '#' || grid.TooLong(text)) {
			asks[i] |= care
		}
	}
}

// results gives the result of a row.
func (c *coded) results() func(row int) string {
	decl := slices.IndexFunc(c.b.table.Columns, func(col tables.Column) bool { return col.Name == "result" })
	if len(c.b.byDecl[decl]) == 0 {
		return func(int) string { return c.b.given[decl].text }
	}
	k := c.b.byDecl[decl][0]
	return func(row int) string { return c.rows.known[k][c.b.sheet.Code(row, c.b.columns[k].at)].value.text }
}

// noWall tells of a row whose wall was not measured.
func (s *judged) noWall(c *coded, row int, result string, full map[string]*atomic.Bool) {
	f := noWall(result)
	if s.more[f.code] > 0 || full[f.code].Load() {
		s.more[f.code]++
		return
	}
	at := c.b.columns[c.walls[0]].at
	s.problems = append(s.problems, placed{c.b.spot(c.b.sheet.Number(row), at), tables.Problem{
		Code: f.code, Severity: tables.Notice, Value: quantity.Tidy(c.b.sheet.Cell(row, at)), Message: f.message, Mend: f.mend,
	}})
}

// hasExtras reports whether cells stand beside the table's columns.
func (c *coded) hasExtras() bool {
	return slices.ContainsFunc(c.rows.unused, func(at int) bool { return c.b.sheet.Codes(at) > 1 })
}
