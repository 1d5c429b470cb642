package ingest

import (
	"fmt"

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
// set aside + not data can be shown to hold. A row that holds records of several
// tables, or several of a wide one, counts once for each; on a table that stands
// on its side the columns are the rows, and the one of its labels is no data.
type account struct {
	file, sheet int
	rows        int // rows of the sheet with content
	first       int // the first of them that is one of the file: the names of a headed sheet are not
	beyond      int // rows that were counted and not held
	ledgers     []*ledger
}

// ledger keeps what became of the rows of one block.
type ledger struct {
	from    int              // of the first row, in the sheet's rows
	numbers *grid.RowNumbers // of the sheet's rows
	fates   []fate
	turned  bool
	headed  bool  // the rows are numbered one by one, so that numbers has none
	spent   []int // of a turned block: the rows of the sheet that its records take
}

func newAccount(file, sheet int, s *grid.Sheet) *account {
	return &account{file: file, sheet: sheet, rows: s.Len(), first: min(s.Len(), headRows(s)), beyond: s.RowsBeyond}
}

func headRows(s *grid.Sheet) int {
	if s.Headed {
		return 1
	}
	return 0
}

// open begins the ledger of a block, which stands on the sheet s of the file.
func (a *account) open(b *block, s *grid.Sheet) *ledger {
	l := &ledger{from: b.from, fates: make([]fate, max(b.to-b.from, 0)), turned: b.turned, numbers: b.sheet.Numbers(), headed: s.Headed}
	if b.turned {
		for _, col := range b.columns {
			if i, ok := s.Find(col.at + 1); ok && !col.other && col.header != "" {
				l.spent = append(l.spent, i)
			}
		}
	}
	a.ledgers = append(a.ledgers, l)
	return l
}

// move changes the fate of a row that counted as used.
func (l *ledger) move(row int32, to fate) {
	i, ok := int(row), l.headed
	if !ok {
		i, ok = l.numbers.Find(int(row))
	}
	if i -= l.from; ok && i >= 0 && i < len(l.fates) {
		l.fates[i] = to
	}
}

// fill writes the sums into the sheet. It fails with an
// AccountError where a row has no fate, which no input may cause.
func (a *account) fill(s *Sheet) error {
	counts := [4]int{}
	var records []int32 // of each row of the sheet; -1 where a turned table has taken it
	if len(a.ledgers) != 1 || a.ledgers[0].turned {
		records = make([]int32, a.rows)
	}
	held := 0
	for t, l := range a.ledgers {
		own := [4]int{}
		for _, f := range l.fates {
			own[f]++
		}
		if t < len(s.Tables) {
			s.Tables[t].RowsUsed, s.Tables[t].RowsAside, s.Tables[t].RowsNone = own[used], own[aside], own[noData]
		}
		if records == nil { // the rows outside of the one table hold nothing of any
			for f, n := range own {
				counts[f] += n
			}
			out := a.rows - a.first - len(l.fates)
			counts[noData] += out
			held += len(l.fates) + out
			continue
		}
		for k, f := range l.fates {
			if f == noData {
				continue
			}
			counts[f]++
			held++
			if !l.turned {
				records[l.from+k]++
			}
		}
		if l.turned {
			counts[noData]++ // the labels
			held++
		}
		for _, i := range l.spent {
			records[i] = -1
		}
	}
	for i, n := range records {
		if n == 0 && i >= a.first {
			counts[noData]++
			held++
		}
	}
	s.RowsRead = held + a.beyond
	s.RowsUsed, s.RowsAside, s.RowsNoData = counts[used], counts[aside]+a.beyond, counts[noData]
	if s.RowsRead != s.RowsUsed+s.RowsAside+s.RowsNoData {
		return &AccountError{Sheet: s.Name, Read: s.RowsRead, Used: s.RowsUsed, SetAside: s.RowsAside, NoData: s.RowsNoData}
	}
	return nil
}

// AccountError says that the rows of a sheet are not all accounted for. No
// input may cause it.
type AccountError struct {
	Sheet                        string
	Read, Used, SetAside, NoData int
}

func (e *AccountError) Error() string {
	return fmt.Sprintf("the account of sheet %q does not close: %d rows read, %d used, %d set aside, %d no data", e.Sheet, e.Read, e.Used, e.SetAside, e.NoData)
}

// accounts finds the account of a row from its origin.
type accounts struct {
	byBlock []*ledger
	blocks  []*block
}

func (a accounts) setAside(o tables.Origin) { a.byBlock[o.Block].move(o.Row, aside) }

// place is where a declared column of a row stands; the whole row where the
// sheet has no such column or none is named.
func (a accounts) place(o tables.Origin, columnName string) place {
	b := a.blocks[o.Block]
	at := -1
	for i, c := range b.table.Columns {
		if c.Name == columnName && len(b.byDecl[i]) > 0 {
			at = b.columns[b.byDecl[i][0]].at
		}
	}
	return b.spot(int(o.Row), at)
}
