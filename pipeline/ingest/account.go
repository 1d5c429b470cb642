package ingest

import (
	"fmt"
	"slices"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// fate is what became of a row with content.
type fate byte

const (
	unread fate = iota // none yet; left over, it breaks the account
	noData             // header, title, or no cell of a table
	used
	aside
)

// account keeps what became of each row of a sheet, so that rows read = used +
// set aside + not data can be shown to hold.
type account struct {
	file, sheet int
	numbers     []int32 // row numbers, ascending
	fates       []fate
	beyond      int // rows that were counted and not held
}

func newAccount(file, sheet int, s *grid.Sheet) *account {
	a := &account{file: file, sheet: sheet, fates: make([]fate, s.Len()), beyond: s.RowsBeyond}
	a.numbers = make([]int32, s.Len())
	for i := range a.numbers {
		a.numbers[i] = int32(s.Number(i))
	}
	return a
}

// move changes the fate of a row that counted as used.
func (a *account) move(row int32, to fate) {
	if i, ok := slices.BinarySearch(a.numbers, row); ok {
		a.fates[i] = to
	}
}

// titles gives the rows that stand outside of the blocks' data their fate: all
// rows of a sheet without a table, else titles, headers and rows of units.
func (a *account) titles(blocks []*block) {
	if len(blocks) == 0 {
		for i := range a.fates {
			a.fates[i] = noData
		}
		return
	}
	end := 0
	for _, b := range blocks {
		for i := end; i < b.from; i++ {
			a.fates[i] = noData
		}
		end = b.to
	}
}

// fill writes the sums into the sheet. It fails where a row has no fate,
// which no input may cause.
func (a *account) fill(s *Sheet) error {
	counts := [4]int{}
	for _, f := range a.fates {
		counts[f]++
	}
	s.RowsRead = len(a.fates) + a.beyond
	s.RowsUsed, s.RowsAside, s.RowsNoData = counts[used], counts[aside]+a.beyond, counts[noData]
	if s.RowsRead != s.RowsUsed+s.RowsAside+s.RowsNoData {
		return fmt.Errorf("internal error: the account of sheet %q does not close: %d rows read, %d used, %d set aside, %d not data",
			s.Name, s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData)
	}
	return nil
}

// accounts finds the account of a row from its origin.
type accounts struct {
	byBlock []*account
	blocks  []*block
}

func (a accounts) setAside(o tables.Origin) { a.byBlock[o.Block].move(o.Row, aside) }

// place is where a declared column of a row stands; the whole row where the
// sheet has no such column or none is named.
func (a accounts) place(o tables.Origin, columnName string) place {
	b := a.blocks[o.Block]
	p := place{b.place.file, b.place.sheet, int(o.Row), -1}
	for i, c := range b.table.Columns {
		if c.Name == columnName && len(b.byDecl[i]) > 0 {
			p.col = b.columns[b.byDecl[i][0]].at
		}
	}
	return p
}
