package history

import (
	"fmt"
	"runtime"
	"sync"

	"moldwright/pipeline/tables"
)

// collectRows is the number of rows from which the casts are collected on all
// cores. What comes out is the same for any number of them.
const collectRows = 100_000

// collect turns the casts table into casts with a mold and a wet wall, those of
// each mold together and in the order of the rows. It counts first and puts each
// cast into its place then: sorting tens of millions of them would take longer
// than reading them.
func (b *builder) collect() []Cast {
	cols := b.columns()
	shares := make([]collection, 1)
	if n := b.studio.Casts.Len(); n >= collectRows {
		shares = make([]collection, runtime.GOMAXPROCS(0))
	}
	each(shares, func(k int, s *collection) {
		s.from, s.to = cols.rows*k/len(shares), cols.rows*(k+1)/len(shares)
		s.date = b.studio.Casts.DatesFrom("date") // has room of its own
		s.count(cols, b.log.AsOf, len(b.log.Molds))
	})
	total, late := 0, 0
	for m := range b.log.Molds {
		b.log.Molds[m].First = total
		for k := range shares {
			n := shares[k].next[m]
			shares[k].next[m] = total
			total += n
		}
		b.log.Molds[m].Last = total
	}
	casts := make([]Cast, total)
	each(shares, func(_ int, s *collection) { s.fill(b, cols, casts) })
	walls := shrinkless{}
	for _, s := range shares {
		late += s.late
		walls.merge(s.walls)
	}
	b.problems = append(b.problems, walls.told()...)
	if late > 0 {
		b.problems = append(b.problems, tables.Problem{
			Code: "after-as-of", Severity: tables.Notice, Value: b.log.AsOf.String(),
			Message: fmt.Sprintf("%d casts are dated after the day this report speaks of and are left out", late),
			Mend:    "choose a later --as-of, or none",
		})
	}
	return casts
}

func each(shares []collection, do func(k int, s *collection)) {
	var wait sync.WaitGroup
	for k := range shares {
		wait.Go(func() { do(k, &shares[k]) })
	}
	wait.Wait()
}

// columns are those of the casts table that the log is made of.
type columns struct {
	rows        int
	mold, slip  func(from int, room []uint32)
	basis       func(from int, room []uint32)
	bases       []string
	result      func(from int, room []uint32)
	time, dwell func(from int, room []float64)
	walls       func(from int, room []float64) // means of readings
	molds       []int32                        // by name in the column: index in Log.Molds
	slips       []SlipNumber
	results     []Result
}

func (b *builder) columns() columns {
	f := b.studio.Casts
	c := columns{rows: f.Len(), time: f.NumbersFrom("time"), dwell: f.NumbersFrom("dwell"), walls: f.MeansFrom("wall")}
	var molds, slips, results []string
	molds, c.mold = f.NamesFrom("mold")
	slips, c.slip = f.NamesFrom("slip")
	results, c.result = f.NamesFrom("result")
	c.bases, c.basis = f.NamesFrom("wall_basis")
	c.molds = make([]int32, len(molds))
	for k, name := range molds {
		c.molds[k] = int32(b.index[Fold(name)])
	}
	c.slips = b.slipNumbers(slips)
	for _, word := range results {
		c.results = append(c.results, ResultOf(word))
	}
	return c
}

// slipNumbers enters the batches of slip in the log. Those beyond what can be
// told apart count as not logged, which is told.
func (b *builder) slipNumbers(names []string) []SlipNumber {
	b.log.Slips = []string{""}
	seen := map[string]SlipNumber{"": {}}
	out := make([]SlipNumber, len(names))
	over := 0
	for k, name := range names {
		n, ok := seen[name]
		if !ok && len(b.log.Slips) < mostSlips {
			n = NumberOfSlip(len(b.log.Slips))
			seen[name] = n
			b.log.Slips = append(b.log.Slips, name)
		} else if !ok {
			over++
		}
		out[k] = n
	}
	if over > 0 {
		b.problems = append(b.problems, tables.Problem{
			Code: "name-unclear", Severity: tables.Notice, Value: fmt.Sprint(over),
			Message: fmt.Sprintf("the log names more than %d batches of slip; %d of them are not told apart", mostSlips-1, over),
			Mend:    "look whether the column holds batches of slip: one is used for many casts",
		})
	}
	return out
}

// collection is a run of rows that one core collects.
type collection struct {
	from, to int
	date     func(from int, room []tables.Date)
	next     []int // by mold: first its casts, then the place of the next
	late     int
	walls    shrinkless
}

// some are as many rows of the columns as are looked at in one go.
type some struct {
	mold, slip, basis, result [atOnce]uint32
	date                      [atOnce]tables.Date
	time, dwell, wall         [atOnce]float64
}

// atOnce is how many rows are read in one go.
const atOnce = 1024

func (s *collection) count(c columns, asOf tables.Date, molds int) {
	s.next = make([]int, molds)
	var rows some
	for from := s.from; from < s.to; from += atOnce {
		n := min(atOnce, s.to-from)
		c.mold(from, rows.mold[:n])
		s.date(from, rows.date[:n])
		for i, k := range rows.mold[:n] {
			if asOf.Valid() && rows.date[i] > asOf {
				s.late++
				continue
			}
			s.next[c.molds[k]]++
		}
	}
}

func (s *collection) fill(b *builder, c columns, casts []Cast) {
	asOf := b.log.AsOf
	var rows some
	for from := s.from; from < s.to; from += atOnce {
		n := min(atOnce, s.to-from)
		c.mold(from, rows.mold[:n])
		c.slip(from, rows.slip[:n])
		c.basis(from, rows.basis[:n])
		c.result(from, rows.result[:n])
		s.date(from, rows.date[:n])
		c.time(from, rows.time[:n])
		c.dwell(from, rows.dwell[:n])
		c.walls(from, rows.wall[:n])
		for i := range n {
			if asOf.Valid() && rows.date[i] > asOf {
				continue
			}
			m, wall := c.molds[rows.mold[i]], rows.wall[i]
			if basis := c.bases[rows.basis[i]]; tables.Has(wall) && basis != "" && basis != tables.WallWet {
				wall = s.walls.wet(b, from+i, wall, basis, b.log.Molds[m].Form)
			}
			casts[s.next[m]] = Cast{
				Row: int32(from + i), Mold: m, Date: rows.date[i], TimeMin: float32(rows.time[i]), DwellMin: rows.dwell[i], WallMM: wall,
				Slip: c.slips[rows.slip[i]], Result: c.results[rows.result[i]],
			}
			s.next[m]++
		}
	}
}
