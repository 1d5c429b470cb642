package ingest

import (
	"context"
	"maps"
	"slices"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// shareRows is the number of rows that a core reads in one go. What comes out is
// the same for any number of cores.
const shareRows = 1 << 15

// share is a run of rows of a table that one core reads.
type share struct {
	from, to int
	part     part
	notes    []note
	problems []placed
}

// worker reads shares on one core. It keeps what the texts of the sheet were read
// as from share to share.
type worker struct {
	block *block // a copy: notes and words of its own
	rows  *rowReader
}

// block reads the rows of one table. Where it is the last that needs the sheet,
// spent, the cells are given up as they are read.
func (r *reader) block(ctx context.Context, b *block, look grid.SecondLook, spent bool) error {
	shelf := r.shelves.of(b.table.Name)
	b.markTotals()
	if c := r.byCodes(b, look); c != nil {
		return c.read(ctx, spent)
	}
	n := b.to - b.from
	count := max(1, (n+shareRows-1)/shareRows)
	inOrder(count, func() func(k int) *share {
		w := newWorker(b, look, r.today)
		return func(k int) *share {
			s := &share{from: b.from + n*k/count, to: b.from + n*(k+1)/count}
			s.part = shelf.part(s.to - s.from)
			r.read(ctx, b, w, s)
			return s
		}
	}, func(s *share) {
		for _, n := range s.notes {
			b.noteOnce(n.at, n.Problem)
		}
		for _, p := range s.problems {
			r.problems.add(p.place, p.Problem)
		}
		shelf.join(s.part)
		if spent {
			b.sheet.Forget(max(b.from, s.from-grid.PageRows), s.to)
		}
	})
	return ctx.Err()
}

func newWorker(b *block, look grid.SecondLook, today tables.Date) *worker {
	own := b.copied()
	rows := newRowReader(own, look.Formulas, today)
	rows.remember()
	return &worker{own, rows}
}

// copied is a copy of the block with notes and words of its own.
func (b *block) copied() *block {
	own := *b
	own.columns, own.notes = slices.Clone(b.columns), nil
	own.daySheet = b.isDaySheet()
	for i := range own.columns {
		own.columns[i].words = maps.Clone(own.columns[i].words)
	}
	return &own
}

// read reads the rows of one share. Its rows of the account are nobody else's.
func (r *reader) read(ctx context.Context, b *block, w *worker, s *share) {
	ledger := r.accounts.byBlock[b.index]
	w.block.notes = nil
	isCasts := b.table.Name == r.shelves.casts.pack.Table().Name
	for i := s.from; i < s.to; i++ {
		if i%1024 == 0 && ctx.Err() != nil {
			break
		}
		row := b.sheet.Row(i)
		if w.block.noData(row, i) {
			ledger.fates[i-b.from] = noData
			continue
		}
		w.rows.read(row)
		var keep bool
		if keep, ledger.fates[i-b.from] = s.judge(b, w.rows, row, isCasts); keep {
			s.part.take(w.rows.record, tables.Origin{Block: b.index, Row: int32(row.Number())}, w.rows.extra(row))
		}
	}
	s.notes = w.block.notes
}

// judge notes what was found in the row last read and tells what becomes of it.
func (s *share) judge(b *block, r *rowReader, row grid.Row, isCasts bool) (keep bool, became fate) {
	keep = !r.aside()
	if isCasts && len(r.findings) > 0 {
		keep = r.castRules()
	}
	became = used
	if r.aside() {
		became = aside
	}
	for _, f := range r.findings {
		s.problems = append(s.problems, placed{b.spot(row.Number(), f.at),
			tables.Problem{Code: f.code, Severity: f.severity, Value: f.value, Message: f.message, Mend: f.mend}})
	}
	return keep, became
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
