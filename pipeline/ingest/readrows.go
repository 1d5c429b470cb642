package ingest

import (
	"context"
	"maps"
	"runtime"
	"slices"
	"sync"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// shareRows is the number of rows from which a table is read in shares on all
// cores. What comes out is the same for any number of shares.
const shareRows = 20_000

// share is a run of rows of a table that one core reads.
type share struct {
	from, to int
	block    *block // a copy: notes and words of its own
	problems []placed
}

// block reads the rows of one table.
func (r *reader) block(ctx context.Context, b *block, look grid.SecondLook) error {
	shelf := r.shelves.of(b.table.Name)
	b.markTotals()
	n := b.to - b.from
	base := shelf.extend(n)
	kept := make([]bool, n)
	shares := sharesOf(b)
	var wait sync.WaitGroup
	for k := range shares {
		wait.Go(func() { r.read(ctx, b, &shares[k], look, shelf, base, kept) })
	}
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, s := range shares {
		for _, n := range s.block.notes {
			b.noteOnce(n.at, n.Problem)
		}
		for _, p := range s.problems {
			r.problems.add(p.place, p.Problem)
		}
	}
	shelf.settle(base, kept)
	return nil
}

func sharesOf(b *block) []share {
	n := b.to - b.from
	count := min(max(1, n/shareRows), runtime.GOMAXPROCS(0))
	shares := make([]share, count)
	for k := range shares {
		own := *b
		own.columns, own.notes = slices.Clone(b.columns), nil
		for i := range own.columns {
			own.columns[i].words = maps.Clone(own.columns[i].words)
		}
		shares[k] = share{from: b.from + n*k/count, to: b.from + n*(k+1)/count, block: &own}
	}
	return shares
}

// read reads the rows of one share. Its rows of the shelf, of kept and of the
// account are nobody else's.
func (r *reader) read(ctx context.Context, b *block, s *share, look grid.SecondLook, shelf taker, base int, kept []bool) {
	ledger := r.accounts.byBlock[b.index]
	rows := newRowReader(s.block, look.Formulas, r.today)
	isCasts := b.table.Name == r.shelves.casts.table.Name
	for i := s.from; i < s.to; i++ {
		if i%1024 == 0 && ctx.Err() != nil {
			return
		}
		row := b.sheet.Row(i)
		if s.block.noData(row, i) {
			ledger.fates[i-b.from] = noData
			continue
		}
		rows.read(row)
		keep := !rows.aside()
		if isCasts {
			keep = rows.castRules()
		}
		ledger.fates[i-b.from] = used
		if rows.aside() {
			ledger.fates[i-b.from] = aside
		}
		for _, f := range rows.findings {
			s.problems = append(s.problems, placed{b.spot(row.Number(), f.at),
				tables.Problem{Code: f.code, Severity: f.severity, Value: f.value, Message: f.message, Mend: f.mend}})
		}
		if keep {
			kept[i-b.from] = true
			shelf.take(base+i-b.from, rows.record, tables.Origin{Block: b.index, Row: int32(row.Number())}, rows.extra(row))
		}
	}
}

// noData reports whether a row between those of the table is none of them.
func (b *block) noData(row grid.Row, i int) bool {
	switch {
	case b.empty(row) || b.skip[i] || b.planned(row):
		return true
	case b.repeatsHeader(row):
		if !b.follower {
			b.noteOnce(-1, tables.Problem{
				Code: CodeHeaderRepeated, Severity: tables.Notice,
				Message: "the header stands again further down; those rows are no data",
				Mend:    "nothing to do",
			})
		}
		return true
	}
	return false
}
