package ingest

import (
	"bytes"
	"hash/maphash"
	"math"

	"moldwright/pipeline/tables"
)

// rows are the rows of a shelf, to be compared with each other.
type rows interface {
	rows() int
	origin(row int) tables.Origin
	bytes(buf []byte, row int) []byte // equal for rows that are the same in every cell, and for no others
	keep(ok func(row int) bool)
}

// sameRows sets aside casts and gaps that are the same in every cell as an
// earlier one: casts that have a number or a date and a time, since without them
// two casts of a day may well be alike.
func (r *reader) sameRows() {
	casts := r.shelves.casts
	if suspects := casts.suspects(); suspects != nil {
		dropSame(r, casts, func(row int) bool {
			return suspects[row] && (casts.number(row) != "" || casts.day(row).Valid() && tables.Has(casts.minute(row)))
		})
		r.castIDs(suspects)
		casts.settle()
	}
	dropSame(r, r.shelves.gaps, func(int) bool { return true })
}

// suspects marks the casts that share their number, or without one their mold,
// day and time, with another: only those can be the same in every cell. It is nil
// where there are none.
func (s *castShelf) suspects() []bool {
	if s.surelyApart() {
		return nil
	}
	alike, any := make([]bool, s.rows()), false
	seed := maphash.MakeSeed()
	names := s.pack.Names(s.at.mold)
	molds := make([]uint64, len(names))
	for k, name := range names {
		molds[k] = maphash.String(seed, name)
	}
	first := newSeen(s.rows())
	for row := range alike {
		number := s.number(row)
		hash := maphash.String(seed, nameKey(number))
		if number == "" {
			hash = molds[s.pack.Name(s.at.mold, row)] ^ uint64(s.day(row))<<32 ^ math.Float64bits(s.minute(row))
			hash *= 0x9e3779b97f4a7c15 // spreads days and minutes over the low bits
			hash ^= hash >> 32
		}
		if k, again := first.first(hash, row, func(int) bool { return true }); again {
			alike[row], alike[k], any = true, true, true
		}
	}
	if !any {
		return nil
	}
	return alike
}

// surelyApart tells quickly that no two casts can be the same: their numbers
// rise from row to row, or they have none, and the days and times of each mold
// rise. Most large logs are written so.
func (s *castShelf) surelyApart() bool {
	if s.rows() < leastForHaste {
		return false
	}
	if !s.pack.Absent(s.at.cast) {
		return s.pack.Rising(s.at.cast)
	}
	last := make([]float64, len(s.pack.Names(s.at.mold))) // minutes since 1970, by name
	for k := range last {
		last[k] = math.Inf(-1)
	}
	same := s.alike(s.at.mold)
	for row := range s.rows() {
		day, minute := s.day(row), s.minute(row)
		if !day.Valid() || !tables.Has(minute) {
			continue
		}
		k := same[s.pack.Name(s.at.mold, row)]
		now := 1440*float64(day) + minute
		if now <= last[k] {
			return false
		}
		last[k] = now
	}
	return true
}

// leastForHaste is how many casts a log must have before a quick look pays.
const leastForHaste = 50_000

func dropSame(r *reader, s rows, distinct func(row int) bool) {
	seed := maphash.MakeSeed()
	first := newSeen(16)
	var buf, other []byte
	s.keep(func(i int) bool {
		if !distinct(i) {
			return true
		}
		buf = s.bytes(buf[:0], i)
		k, again := first.first(maphash.Bytes(seed, buf), i, func(k int) bool {
			other = s.bytes(other[:0], k)
			return bytes.Equal(other, buf)
		})
		if !again {
			return true
		}
		at := s.origin(i)
		r.note(at, "", tables.Problem{
			Code: CodeDuplicateRow, Severity: tables.SetAside,
			Message: "the same row, cell for cell, stands in " + r.where(s.origin(k)),
			Mend:    "remove one of them",
		})
		r.accounts.setAside(at)
		return false
	})
}

// castIDs notes different casts that bear the same number; both are used.
func (r *reader) castIDs(suspects []bool) {
	casts := r.shelves.casts
	first := map[string]int{}
	for row, alike := range suspects {
		if !alike || casts.leaving[row] || casts.number(row) == "" {
			continue
		}
		key := nameKey(casts.number(row))
		k, again := first[key]
		if !again {
			first[key] = row
			continue
		}
		r.note(casts.origin(row), "cast", tables.Problem{
			Code: CodeCastIDTwice, Severity: tables.Notice, Value: casts.number(row),
			Message: "a different cast with this number stands in " + r.where(casts.origin(k)) + "; both are used",
			Mend:    "give each cast its own number",
		})
	}
}
