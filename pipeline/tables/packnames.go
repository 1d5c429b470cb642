package tables

import (
	"math"
	"slices"
	"strings"
)

// codes are small numbers, one a row of a closed piece, in as many bytes as the
// largest needs; none at all where all are 0.
type codes struct {
	one  []uint8
	two  []uint16
	four []uint32
}

func codesOf(all []uint32) codes {
	most := uint32(0)
	for _, k := range all {
		most = max(most, k)
	}
	switch {
	case most == 0:
		return codes{}
	case most <= math.MaxUint8:
		return codes{one: narrow[uint8](all)}
	case most <= math.MaxUint16:
		return codes{two: narrow[uint16](all)}
	}
	return codes{four: slices.Clone(all)}
}

func narrow[T uint8 | uint16](all []uint32) []T {
	out := make([]T, len(all))
	for i, k := range all {
		out[i] = T(k)
	}
	return out
}

func (c *codes) at(i int) uint32 {
	switch {
	case i < len(c.one):
		return uint32(c.one[i])
	case i < len(c.two):
		return uint32(c.two[i])
	case i < len(c.four):
		return c.four[i]
	}
	return 0
}

func (c *codes) bytes() int { return len(c.one) + 2*len(c.two) + 4*len(c.four) }

// texts is a column of names.
type texts struct {
	names  []string // names[0] is ""
	index  map[string]uint32
	last   uint32
	closed []codes
	tail   []uint32
}

func (t *texts) code(s string) uint32 {
	if t.last > 0 && t.names[t.last] == s {
		return t.last
	}
	if t.index == nil {
		if t.index = map[string]uint32{}; len(t.names) == 0 {
			t.names = []string{""}
		}
		for k, name := range t.names {
			t.index[name] = uint32(k)
		}
	}
	k, seen := t.index[s]
	if !seen {
		k = uint32(len(t.names))
		s = strings.Clone(s) // or it would hold on to the file it came from
		t.names, t.index[s] = append(t.names, s), k
	}
	t.last = k
	return k
}

func (t *texts) name(code uint32) string {
	if code == 0 {
		return ""
	}
	return t.names[code]
}

func (t *texts) put(row int, s string) { t.tail = append(padded(t.tail, row, 0), t.code(s)) }

func (t *texts) take(part *texts, at, from, n int) {
	if from >= len(part.tail) {
		return
	}
	to := make([]uint32, len(part.names))
	t.tail = padded(t.tail, at, 0)
	for _, k := range part.tail[from:min(len(part.tail), from+n)] {
		if k > 0 && to[k] == 0 {
			to[k] = t.code(part.names[k])
		}
		t.tail = append(t.tail, to[k])
	}
}

func (t *texts) close() {
	t.closed = append(t.closed, codesOf(t.tail))
	t.tail = t.tail[:0]
}

func (t *texts) at(row int) uint32 {
	if k := row / packRows; k < len(t.closed) {
		return t.closed[k].at(row % packRows)
	}
	if row -= len(t.closed) * packRows; row < len(t.tail) {
		return t.tail[row]
	}
	return 0
}

func (t *texts) bytes() int {
	n := 4 * cap(t.tail)
	for i := range t.closed {
		n += t.closed[i].bytes()
	}
	for _, s := range t.names {
		n += 2*16 + 4 + len(s)
	}
	return n
}

// What a column of a pack holds.
const (
	HoldsText = iota
	HoldsNumber
	HoldsDate
	HoldsCount
	HoldsList
)
