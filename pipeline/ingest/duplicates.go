package ingest

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/maphash"
	"math"
	"reflect"
	"slices"
	"strings"

	"moldwright/pipeline/tables"
)

// duplicates sets aside rows that stand twice: the same row again, and a second
// row for a name that its table may list only once.
func (r *reader) duplicates() {
	once(r, r.shelves.molds, func(m tables.Mold) string { return m.Mold }, "mold")
	once(r, r.shelves.pours, func(p tables.Pour) string { return p.Pour }, "pour")
	once(r, r.shelves.slips, func(s tables.Slip) string { return s.Slip }, "slip")
	once(r, r.shelves.forms, func(f tables.Form) string { return f.Form }, "form")
	r.sameRows()
}

// once keeps the first row of each name; the others are set aside.
func once[R tables.Row](r *reader, s *shelf[R], name func(R) string, column string) {
	first := map[string]int{}
	s.keep(func(i int) bool {
		key := nameKey(name(s.rows[i]))
		k, seen := first[key]
		if !seen {
			first[key] = i
			return true
		}
		at, before := originOf(&s.rows[i]), originOf(&s.rows[k])
		p := tables.Problem{
			Code: CodeDuplicateID, Severity: tables.SetAside, Value: name(s.rows[i]),
			Message: fmt.Sprintf("this %s stands in %s already, with other values; the first row is used", column, r.where(before)),
			Mend:    fmt.Sprintf("keep one row for each %s", column),
		}
		if bytes.Equal(appendRow(nil, &s.rows[i], s.fields), appendRow(nil, &s.rows[k], s.fields)) {
			p.Code = CodeDuplicateRow
			p.Message = "the same row stands in " + r.where(before)
			p.Mend = "remove one of them"
		}
		r.note(at, column, p)
		r.accounts.setAside(at)
		return false
	})
}

// sameRows sets aside casts and gaps that are the same in every cell as an
// earlier one: casts that have a number or a date and a time, since without them
// two casts of a day may well be alike.
func (r *reader) sameRows() {
	casts := r.shelves.casts
	suspects := r.castsAlike()
	if slices.Contains(suspects, true) {
		dropSame(r, casts, func(i int) bool {
			c := &casts.rows[i]
			return suspects[i] && (c.Cast != "" || c.Date.Valid() && tables.Has(c.TimeMin))
		})
		r.castIDs()
	}
	dropSame(r, r.shelves.gaps, func(int) bool { return true })
}

// castsAlike marks the casts that share their number, or without one their mold,
// day and time, with another: only those can be the same in every cell.
func (r *reader) castsAlike() []bool {
	rows := r.shelves.casts.rows
	alike := make([]bool, len(rows))
	seed := maphash.MakeSeed()
	first := newSeen(len(rows))
	for i := range rows {
		c := &rows[i]
		hash := maphash.String(seed, nameKey(c.Cast))
		if c.Cast == "" {
			hash = maphash.String(seed, c.Mold) ^ uint64(c.Date)<<32 ^ math.Float64bits(c.TimeMin)
			hash *= 0x9e3779b97f4a7c15 // spreads days and minutes over the low bits
			hash ^= hash >> 32
		}
		if k, again := first.first(hash, i, func(int) bool { return true }); again {
			alike[i], alike[k] = true, true
		}
	}
	return alike
}

func dropSame[R tables.Row](r *reader, s *shelf[R], distinct func(i int) bool) {
	seed := maphash.MakeSeed()
	first := newSeen(16)
	var buf, other []byte
	bytesOf := func(buf []byte, i int) []byte {
		return binary.LittleEndian.AppendUint64(appendRow(buf[:0], &s.rows[i], s.fields), s.extras[i])
	}
	s.keep(func(i int) bool {
		if !distinct(i) {
			return true
		}
		buf = bytesOf(buf, i)
		k, again := first.first(maphash.Bytes(seed, buf), i, func(k int) bool {
			other = bytesOf(other, k)
			return bytes.Equal(other, buf)
		})
		if !again {
			return true
		}
		at := originOf(&s.rows[i])
		r.note(at, "", tables.Problem{
			Code: CodeDuplicateRow, Severity: tables.SetAside,
			Message: "the same row, cell for cell, stands in " + r.where(originOf(&s.rows[k])),
			Mend:    "remove one of them",
		})
		r.accounts.setAside(at)
		return false
	})
}

// castIDs notes different casts that bear the same number; both are used.
func (r *reader) castIDs() {
	rows := r.shelves.casts.rows
	first := map[string]int{}
	for i := range rows {
		c := &rows[i]
		if c.Cast == "" {
			continue
		}
		key := nameKey(c.Cast)
		k, again := first[key]
		if !again {
			first[key] = i
			continue
		}
		r.note(c.Origin, "cast", tables.Problem{
			Code: CodeCastIDTwice, Severity: tables.Notice, Value: c.Cast,
			Message: "a different cast with this number stands in " + r.where(rows[k].Origin) + "; both are used",
			Mend:    "give each cast its own number",
		})
	}
}

func originOf[R tables.Row](row *R) tables.Origin {
	return any(row).(interface{ From() tables.Origin }).From()
}

// where names the row of an origin: log.xlsx, sheet Casts, row 12.
func (r *reader) where(o tables.Origin) string {
	b := r.blocks[o.Block]
	if b.Turned {
		_, _, cell := r.blocks.Place(o, "")
		return fmt.Sprintf("%s, column %s", sheetName(b.File, b.Sheet), strings.TrimRight(cell, "0123456789"))
	}
	if b.Sheet == "" {
		return fmt.Sprintf("%s, row %d", b.File, o.Row)
	}
	return fmt.Sprintf("%s, sheet %s, row %d", b.File, b.Sheet, o.Row)
}

// appendRow appends the declared values of a row, to which row points, so that equal rows give equal
// bytes and different ones different bytes.
func appendRow(buf []byte, row any, fields []int) []byte {
	v := reflect.ValueOf(row).Elem()
	for _, f := range fields {
		switch x := v.Field(f); x.Kind() {
		case reflect.String:
			buf = binary.AppendUvarint(buf, uint64(x.Len()))
			buf = append(buf, x.String()...)
		case reflect.Float64:
			buf = appendFloat(buf, x.Float())
		case reflect.Slice:
			buf = binary.AppendUvarint(buf, uint64(x.Len()))
			for i := range x.Len() {
				buf = appendFloat(buf, x.Index(i).Float())
			}
		default:
			buf = binary.LittleEndian.AppendUint64(buf, uint64(x.Int()))
		}
	}
	return buf
}

func appendFloat(buf []byte, x float64) []byte {
	if math.IsNaN(x) {
		x = math.NaN() // one pattern of bits for the absent number
	}
	return binary.LittleEndian.AppendUint64(buf, math.Float64bits(x))
}
