package ingest

import (
	"iter"
	"slices"

	"moldwright/pipeline/tables"
)

// castShelf collects the casts, of which there may be tens of millions: a pack
// instead of rows.
type castShelf struct {
	pack    *tables.Pack
	at      castColumns
	forms   []int
	leaving []bool // rows that stand twice, nil for none
	tallies map[int]*tally
}

// castColumns are the places of the declared columns that are compared.
type castColumns struct {
	cast, date, time, mold, slip, dwell, wall, age int
}

func newCastShelf() *castShelf {
	t := tables.Of[tables.Cast]()
	place := func(name string) int {
		return slices.IndexFunc(t.Columns, func(c tables.Column) bool { return c.Name == name })
	}
	pack := tables.NewPack(t)
	forms := make([]int, len(t.Columns))
	for i := range forms {
		forms[i] = pack.Form(i)
	}
	return &castShelf{pack: pack, forms: forms, at: castColumns{
		cast: place("cast"), date: place("date"), time: place("time"), mold: place("mold"), slip: place("slip"),
		dwell: place("dwell"), wall: place("wall"), age: place("age"),
	}}
}

// castPart is the casts that one share gave.
type castPart struct {
	pack  *tables.Pack
	forms []int // what each column holds
}

func (s *castShelf) part(int) part { return castPart{s.pack.NewPart(), s.forms} }

func (s *castShelf) join(p part) { s.pack.Append(p.(castPart).pack) }

func (p castPart) take(record []value, at tables.Origin, extra uint64) {
	for i := range record {
		v := &record[i]
		if !v.has {
			continue
		}
		switch p.forms[i] {
		case tables.HoldsText:
			p.pack.PutText(i, v.text)
		case tables.HoldsNumber:
			p.pack.PutNumber(i, v.num)
		case tables.HoldsDate:
			p.pack.PutWhole(i, int32(v.day))
		case tables.HoldsCount:
			p.pack.PutWhole(i, int32(v.num))
		case tables.HoldsList:
			p.pack.PutList(i, v.nums)
		}
	}
	p.pack.Next(at, extra)
}

func (s *castShelf) rows() int { return s.pack.Len() }

func (s *castShelf) day(row int) tables.Date { return tables.Date(s.pack.Whole(s.at.date, row)) }

func (s *castShelf) minute(row int) float64 { return s.pack.Number(s.at.time, row) }

func (s *castShelf) age(row int) tables.Count { return tables.Count(s.pack.Whole(s.at.age, row)) }

func (s *castShelf) number(row int) string { return s.pack.Text(s.at.cast, row) }

func (s *castShelf) wall(row int) float64 {
	return tables.Cast{WallsMM: s.pack.List(s.at.wall, row, nil)}.WallMM()
}

func (s *castShelf) origin(row int) tables.Origin { return s.pack.Origin(row) }

func (s *castShelf) bytes(buf []byte, row int) []byte { return s.pack.AppendRow(buf, row) }

func (s *castShelf) keep(ok func(row int) bool) {
	s.leaving = make([]bool, s.rows())
	for row := range s.leaving {
		s.leaving[row] = !ok(row)
	}
}

// settle lets the rows leave that are not kept.
func (s *castShelf) settle() {
	if slices.Contains(s.leaving, true) {
		s.pack = s.pack.Without(func(row int) bool { return s.leaving[row] })
		s.tallies = nil
	}
	s.leaving = nil
}

// names walks over the different names of a column in the order of their first
// uses; each counts for all of its rows.
func (s *castShelf) names(at int, column string) iter.Seq[use] {
	return func(yield func(use) bool) {
		names, t := s.pack.Names(at), s.tally(at)
		for _, k := range t.order {
			if !yield(use{&names[k], s.origin(t.first[k]), column, false, t.rows[k]}) {
				return
			}
		}
	}
}

// tally is how often the names of a column stand there, each by its place among them.
type tally struct {
	rows, first []int // its rows, and the first of them
	order       []int // those that stand there, by their first rows
}

// tally counts the names of a column, once: which name is written in a row may be
// changed, but not in which rows one stands.
func (s *castShelf) tally(at int) *tally {
	if t := s.tallies[at]; t != nil {
		return t
	}
	n := len(s.pack.Names(at))
	t := &tally{rows: make([]int, n), first: make([]int, n)}
	s.eachSome(func(from int, room *castRoom) {
		names := room.names[:room.n]
		s.pack.NamesFrom(at, from, names)
		for i, k := range names {
			if t.rows[k]++; t.rows[k] == 1 && k > 0 {
				t.first[k] = from + i
				t.order = append(t.order, int(k))
			}
		}
	})
	if s.tallies == nil {
		s.tallies = map[int]*tally{}
	}
	s.tallies[at] = t
	return t
}

// tallyNames counts the names of the columns that others refer to, before several
// look at them at a time.
func (s *castShelf) tallyNames() {
	s.tally(s.at.mold)
	s.tally(s.at.slip)
}

// castRoom is room for a column of names and one of days of n casts.
type castRoom struct {
	n     int
	names [4096]uint32
	days  [4096]int32
}

// eachSome goes over all casts some thousand at a time.
func (s *castShelf) eachSome(do func(from int, room *castRoom)) {
	var room castRoom
	for from := 0; from < s.rows(); from += len(room.names) {
		room.n = min(len(room.names), s.rows()-from)
		do(from, &room)
	}
}

// eachDated calls do for all casts with a day, with the place of their name in a
// column.
func (s *castShelf) eachDated(at int, do func(row int, name uint32, day tables.Date)) {
	s.eachSome(func(from int, room *castRoom) {
		names, days := room.names[:room.n], room.days[:room.n]
		s.pack.NamesFrom(at, from, names)
		s.pack.WholesFrom(s.at.date, from, days)
		for i, day := range days {
			if tables.Date(day).Valid() {
				do(from+i, names[i], tables.Date(day))
			}
		}
	})
}

// alike gives for each name of a column the first place where the same stands:
// names that were joined stand several times.
func (s *castShelf) alike(at int) []int {
	names := s.pack.Names(at)
	out, first := make([]int, len(names)), map[string]int{}
	for k, name := range names {
		if _, seen := first[name]; !seen {
			first[name] = k
		}
		out[k] = first[name]
	}
	return out
}

func (s *castShelf) frame() tables.Frame[tables.Cast] {
	if s.rows() == 0 {
		return tables.Frame[tables.Cast]{}
	}
	s.pack.Forget()
	return tables.FrameOfPack[tables.Cast](s.pack)
}
