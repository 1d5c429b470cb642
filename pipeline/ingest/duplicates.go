package ingest

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"reflect"
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
		key := nameKey(name(s.all[i]))
		k, seen := first[key]
		if !seen {
			first[key] = i
			return true
		}
		at, before := originOf(&s.all[i]), originOf(&s.all[k])
		p := tables.Problem{
			Code: CodeDuplicateID, Severity: tables.SetAside, Value: name(s.all[i]),
			Message: fmt.Sprintf("this %s stands in %s already, with other values; the first row is used", column, r.where(before)),
			Mend:    fmt.Sprintf("keep one row for each %s", column),
		}
		if bytes.Equal(appendRow(nil, &s.all[i], s.fields), appendRow(nil, &s.all[k], s.fields)) {
			p.Code = CodeDuplicateRow
			p.Message = "the same row stands in " + r.where(before)
			p.Mend = "remove one of them"
		}
		r.note(at, column, p)
		r.accounts.setAside(at)
		return false
	})
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
