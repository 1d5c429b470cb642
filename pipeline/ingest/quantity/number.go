package quantity

import (
	"errors"
	"strconv"
	"strings"
	"unicode"
)

// Mark is the sign that stands before the decimals in a column.
type Mark int

const (
	MarkUnknown Mark = iota // nothing shows it
	MarkPoint
	MarkComma
	MarkBoth // commas, and points in numbers that the spreadsheet itself stored
)

var (
	// ErrUnreadable says that a text is not what was asked for.
	ErrUnreadable = errors.New("not a number")
	// ErrAmbiguous says that a text can be read in two ways and that nothing in
	// it tells which is meant: 1,234 or 3/4/2025.
	ErrAmbiguous = errors.New("it can be read in two ways")
)

// Plain reads what spreadsheets store: digits, a point, an exponent. It
// takes neither Inf, NaN, hexadecimal numbers nor underscores.
func Plain(s string) (float64, bool) {
	if s == "" || len(s) > 40 {
		return 0, false
	}
	digits := false
	for i := range len(s) {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			digits = true
		case c == '.' || c == '-' || c == '+' || (c == 'e' || c == 'E') && digits:
		default:
			return 0, false
		}
	}
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil && digits
}

// decimal reads digits with points and commas. Where both stand, the last is
// the decimal mark. A single comma before three digits is a decimal or a
// thousands mark, and the column's mark decides; where that is unknown the
// number is ambiguous. A point is a decimal mark, except before three digits in
// a column that writes decimal commas, where it is ambiguous.
func decimal(s string, mark Mark) (float64, error) {
	lastPoint, lastComma := strings.LastIndexByte(s, '.'), strings.LastIndexByte(s, ',')
	sep := byte('.')
	if lastComma > lastPoint {
		sep = ','
	}
	last := max(lastPoint, lastComma)
	switch {
	case last < 0:
		return number(s)
	case lastPoint >= 0 && lastComma >= 0:
		whole, ok := ungroup(s[:last], other(sep))
		if !ok {
			return 0, ErrUnreadable
		}
		return number(whole + "." + s[last+1:])
	case strings.Count(s, string(sep)) > 1:
		whole, ok := ungroup(s, sep)
		if !ok {
			return 0, ErrUnreadable
		}
		return number(whole)
	case couldBeThousands(s, last) && sep == ',' && mark == MarkPoint:
		return number(s[:last] + s[last+1:])
	case couldBeThousands(s, last) && (sep == ',' && mark == MarkUnknown || sep == '.' && mark == MarkComma):
		return 0, ErrAmbiguous
	}
	return number(s[:last] + "." + s[last+1:])
}

// MarkIn tells which decimal mark a number shows beyond doubt.
func MarkIn(s string) Mark {
	lastPoint, lastComma := strings.LastIndexByte(s, '.'), strings.LastIndexByte(s, ',')
	last := max(lastPoint, lastComma)
	switch {
	case last < 0 || last == len(s)-1:
		return MarkUnknown
	case lastPoint >= 0 && lastComma >= 0:
	case strings.Count(s, s[last:last+1]) > 1 || couldBeThousands(s, last):
		return MarkUnknown
	}
	if s[last] == ',' {
		return MarkComma
	}
	return MarkPoint
}

// couldBeThousands reports whether the mark at i may part thousands: one to
// three digits before it, the first no zero, and three after it.
func couldBeThousands(s string, i int) bool {
	before := strings.TrimLeft(s[:i], "+-")
	return len(s)-i-1 == 3 && len(before) >= 1 && len(before) <= 3 && before[0] != '0'
}

// WholeNumber takes the thousands mark out of a number that can have no
// decimals: 1,200 and 1.200 are then both twelve hundred.
func WholeNumber(s string) string {
	n := FirstNumber(s)
	if i := strings.IndexAny(n, ".,"); i > 0 && couldBeThousands(n, i) {
		return strings.Replace(s, n, n[:i]+n[i+1:], 1)
	}
	return s
}

// ungroup takes thousands marks out of a whole number, which must part it by three.
func ungroup(s string, sep byte) (string, bool) {
	groups := strings.Split(s, string(sep))
	for i, g := range groups {
		if i == 0 && (len(g) < 1 || len(g) > 3) || i > 0 && len(g) != 3 || strings.ContainsAny(g, ".,") {
			return "", false
		}
	}
	return strings.Join(groups, ""), true
}

func other(sep byte) byte {
	if sep == ',' {
		return '.'
	}
	return ','
}

func number(s string) (float64, error) {
	x, ok := Plain(s)
	if !ok {
		return 0, ErrUnreadable
	}
	return x, nil
}

// Tidy takes the noise of binary fractions off a number that a spreadsheet
// stored with more than 15 digits: 7.0999999999999996 is 7.1.
func Tidy(s string) string {
	if len(s) < 16 {
		return s
	}
	x, ok := Plain(s)
	if !ok || strings.Trim(s, "0123456789") == "" {
		return s
	}
	if x != 0 && (x > 1e15 || x < -1e15 || x < 1e-9 && x > -1e-9) {
		return s
	}
	x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 15, 64), 64)
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// Significant takes the noise of binary arithmetic off a converted number: it
// keeps twelve digits.
func Significant(x float64) float64 {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
	if err != nil {
		return x
	}
	return y
}

// Identifier is a name as it is kept: a whole number that a spreadsheet shows
// with decimals loses them, so that 7 and 7.0 are one name.
func Identifier(s string) string {
	if isPlainName(s) {
		return s
	}
	s = Tidy(strings.Join(strings.Fields(s), " "))
	whole, zeros, ok := strings.Cut(s, ".")
	if ok && zeros != "" && strings.Trim(zeros, "0") == "" && strings.Trim(strings.TrimPrefix(whole, "-"), "0123456789") == "" && strings.Trim(whole, "-") != "" {
		return whole
	}
	return s
}

// isPlainName tells quickly that a name has nothing in it that could be written
// otherwise, as most have.
func isPlainName(s string) bool {
	for i := range len(s) {
		c := s[i]
		if !(c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '-' || c == '/' || c == '#') {
			return false
		}
	}
	return len(s) < 16
}

// FirstNumber is the first run of digits and marks in a cell.
func FirstNumber(s string) string {
	i := strings.IndexFunc(s, unicode.IsDigit)
	if i < 0 {
		return ""
	}
	return digitsAndMarks(s[i:])
}
