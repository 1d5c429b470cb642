package tables

import (
	"math"
	"strconv"
	"strings"
)

// looseTexts is a column of texts of which most come once: numbers of casts, notes.
type looseTexts struct {
	closed []loosePiece
	tail   []string
}

// loosePiece keeps the texts of a closed piece as numbers behind one beginning
// (25-00017: "25-", five digits, 17), or one behind the other.
type loosePiece struct {
	start  string
	digits int      // of each number, with zeros before it; 0: no zeros before it
	nums   []uint32 // number plus one, 0 for no text
	ends   []uint32 // in text, of each row
	text   string
}

func (c *looseTexts) put(row int, s string) { c.tail = append(padded(c.tail, row, ""), s) }

func (c *looseTexts) close() {
	c.closed = append(c.closed, looseOf(c.tail))
	clear(c.tail)
	c.tail = c.tail[:0]
}

func looseOf(all []string) loosePiece {
	if len(all) == 0 {
		return loosePiece{}
	}
	if p, ok := numbered(all); ok {
		return p
	}
	var b strings.Builder
	p := loosePiece{ends: make([]uint32, len(all))}
	size := 0
	for _, s := range all {
		size += len(s)
	}
	b.Grow(checked(size))
	for i, s := range all {
		b.WriteString(s)
		p.ends[i] = uint32(b.Len())
	}
	p.text = b.String()
	return p
}

// numbered keeps texts as numbers behind one beginning, where they all are.
func numbered(all []string) (p loosePiece, ok bool) {
	first := true
	p.nums = make([]uint32, len(all))
	for i, s := range all {
		if s == "" {
			continue
		}
		start := strings.TrimRight(s, "0123456789")
		number := s[len(start):]
		if first {
			first, p.start = false, strings.Clone(start)
			if len(number) > 1 && number[0] == '0' {
				p.digits = len(number)
			}
		}
		zeros := len(number) > 1 && number[0] == '0'
		if start != p.start || number == "" || len(number) > 9 {
			return p, false
		}
		switch {
		case p.digits == 0 && zeros:
			// Those before had no zeros: they are all of this length, or it fails.
			for _, before := range all[:i] {
				if before != "" && len(before) != len(s) {
					return p, false
				}
			}
			p.digits = len(number)
		case p.digits > 0 && len(number) != p.digits:
			return p, false
		}
		n, err := strconv.ParseUint(number, 10, 32)
		if err != nil || n == math.MaxUint32 {
			return p, false
		}
		p.nums[i] = uint32(n) + 1
	}
	return p, true
}

func (p *loosePiece) at(i int) string {
	switch {
	case i < len(p.nums):
		if p.nums[i] == 0 {
			return ""
		}
		n := strconv.FormatUint(uint64(p.nums[i]-1), 10)
		return p.start + strings.Repeat("0", max(0, p.digits-len(n))) + n
	case i < len(p.ends):
		from := uint32(0)
		if i > 0 {
			from = p.ends[i-1]
		}
		return p.text[from:p.ends[i]]
	}
	return ""
}

func (c *looseTexts) at(row int) string {
	if k := row / packRows; k < len(c.closed) {
		return c.closed[k].at(row % packRows)
	}
	if row -= len(c.closed) * packRows; row < len(c.tail) {
		return c.tail[row]
	}
	return ""
}

func (c *looseTexts) bytes() int {
	n := 16 * cap(c.tail)
	for i := range c.closed {
		p := &c.closed[i]
		n += 4*len(p.nums) + 4*len(p.ends) + len(p.text)
	}
	return n
}
