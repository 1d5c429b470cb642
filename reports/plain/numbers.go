package plain

import (
	"strconv"

	"github.com/apache/arrow/go/v17/arrow"
)

// appendNumber writes a number in full, as strconv does in its shortest form. Most
// of what a studio logs has up to three decimals, which are quickly written: a
// decimal of so few digits that reads back as the number is its shortest form.
func appendNumber(into []byte, x float64) []byte {
	const decimals = 1000
	if x >= 1.0/decimals && x < 1e5 {
		if n := int64(x*decimals + 0.5); float64(n)/decimals == x {
			into = strconv.AppendInt(into, n/decimals, 10)
			if rest := n % decimals; rest > 0 {
				into = append(into, '.', byte('0'+rest/100))
				if rest %= 100; rest > 0 {
					into = append(into, byte('0'+rest/10))
				}
				if rest %= 10; rest > 0 {
					into = append(into, byte('0'+rest))
				}
			}
			return into
		}
	}
	return strconv.AppendFloat(into, x, 'g', -1, 64)
}

// days are those written lately: the rows of a log are of few.
type days [256]struct {
	day  arrow.Date32
	text []byte // nil where none was written
}

func (d *days) append(into []byte, day arrow.Date32) []byte {
	at := &d[uint32(day)%uint32(len(d))]
	if at.text == nil || at.day != day {
		at.day, at.text = day, appendDay(at.text[:0], day)
	}
	return append(into, at.text...)
}

// appendDay writes a day by ISO 8601, as Arrow does.
func appendDay(into []byte, day arrow.Date32) []byte {
	year, month, of := day.ToTime().Date()
	if year < 1000 || year > 9999 {
		return append(into, day.FormattedString()...)
	}
	into = strconv.AppendInt(into, int64(year), 10)
	return append(into, '-', byte('0'+month/10), byte('0'+month%10), '-', byte('0'+of/10), byte('0'+of%10))
}
