package ingest

import (
	"fmt"
	"slices"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// turned looks for tables on a sheet that stands on its side: labels down a
// column, one record in each column beside it.
func (f *finder) turned() []*block {
	t := turn(f.sheet)
	if t == nil {
		return nil
	}
	g := &finder{sheet: t, hints: f.hints, turnedFrom: f.sheet}
	blocks := g.region(0, t.Len(), 0, t.Width())
	for _, b := range blocks {
		if !b.mostlyKnown() {
			return nil // a list of words, among them some that are names of columns
		}
	}
	for _, b := range blocks {
		b.turned = true
		if b.follower {
			continue
		}
		b.notes = append(b.notes, note{-1, tables.Problem{
			Code: CodeWideLayout, Severity: tables.Notice, Value: b.columns[b.byDecl[b.firstDecl()][0]].header,
			Message: fmt.Sprintf("the table stands on its side: each column was read as one row of %s", b.table.Name),
			Mend:    "nothing to do if that is right; otherwise write one row for each",
		}})
	}
	return blocks
}

// mostlyKnown reports whether at least half of the labels between the first and
// the last that is known mean something.
func (b *block) mostlyKnown() bool {
	known, since, all := 0, 0, 0
	for _, col := range b.columns {
		switch {
		case col.other || col.header == "":
		case col.used:
			known++
			all, since = all+since+1, 0
		case known > 0:
			since++
		}
	}
	return 2*known >= all
}

func (b *block) firstDecl() int {
	return slices.IndexFunc(b.byDecl, func(ks []int) bool { return len(ks) > 0 })
}

// most cells that a sheet to be turned may have, and rows: a log of casts that
// runs down is none.
const (
	turnCells = 2_000_000
	turnRows  = 200
)

// turn is a copy of the sheet whose rows are its columns; nil where the sheet
// is too long for one that stands on its side.
func turn(s *grid.Sheet) *grid.Sheet {
	if s.Len() < 2 || s.Number(s.Len()-1) > turnRows || s.Width() < 2 || s.Width()*s.Number(s.Len()-1) > turnCells {
		return nil
	}
	rows := make([][]string, s.Width())
	for at := range rows {
		rows[at] = make([]string, s.Number(s.Len()-1))
		for i := range s.Len() {
			rows[at][s.Number(i)-1] = s.Cell(i, at)
		}
	}
	t := grid.Of(s.Text, rows...)
	t.Name, t.Date1904, t.Semicolons = s.Name, s.Date1904, s.Semicolons
	return t
}
