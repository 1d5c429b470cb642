package quantity

import (
	"errors"
	"fmt"
	"strings"
	"unicode"

	"moldwright/pipeline/tables"
)

// Quantity is a number as read from a cell, in the base of its dimension.
type Quantity struct {
	Base    float64
	Written float64 // the number as it stands, absent where several units are added up
	Plain   bool    // no unit stood in the cell
	By      Dimension
	// Approximate says that the cell gives the number only roughly: ~6, 6?, or
	// 5–6, whose middle is taken.
	Approximate bool
	// Note is what else stood in the cell, in its own words: thin at foot, ±0.2.
	Note string
}

// ErrWrongUnit says that the cell names a unit of something else.
var ErrWrongUnit = errors.New("a unit that does not fit")

// longest is the length in bytes past which a text is no quantity, and
// longestNumber that of the quantity itself, without a note behind it.
const (
	longest       = 250
	longestNumber = 80
)

// Parse reads a number with or without units: 5.2, 5,2 mm, 1 1/4 in, 3/16",
// 2 lb 6 oz, 0:22, 1.5 h. A plain number is in the unit def. Several parts must
// go from larger to smaller units. Units of the dimensions dims are taken, the
// first being that of def. Numbers written loosely are read too and marked as
// such: ~6, 6?, 5-6 (its middle), 6±0.2, 5.2 thin at foot.
//
// Errors: ErrUnreadable; ErrAmbiguous, a decimal or a thousands mark;
// ErrWrongUnit; ErrBound, >6 or 30+, which is no value.
func Parse(s string, def Unit, mark Mark, dims ...Dimension) (Quantity, error) {
	if x, ok := Plain(s); ok && (mark != MarkComma || !strings.Contains(s, ".")) {
		return Quantity{Base: def.Base(x), Written: x, Plain: true, By: def.Dim}, nil
	}
	if len(s) > longest {
		return Quantity{}, ErrUnreadable
	}
	in := scale{def, mark, dims}
	s = normal(s)
	q, err := in.exact(s)
	if err == ErrUnreadable {
		return in.loose(s)
	}
	return q, err
}

// scale is by what a text is measured.
type scale struct {
	def  Unit
	mark Mark
	dims []Dimension
}

// exact reads a text that is nothing but a quantity.
func (in scale) exact(s string) (Quantity, error) {
	if s == "" || len(s) > longestNumber {
		return Quantity{}, ErrUnreadable
	}
	if in.def.Dim == Duration && strings.Contains(s, ":") {
		minutes, err := parseSpan(s, in.def.Pattern)
		return Quantity{Base: minutes, Written: minutes, By: Duration}, err
	}
	var parts []part
	for rest := s; rest != ""; {
		p, after, err := nextPart(rest, in.mark)
		if err != nil {
			return Quantity{}, err
		}
		parts = append(parts, p)
		rest = after
	}
	return addUp(parts, in.def, in.dims)
}

// part is one number and the unit that follows it, "" for none.
type part struct {
	x    float64
	unit string
}

// nextPart reads a number and the unit after it off the front of s.
func nextPart(s string, mark Mark) (p part, rest string, err error) {
	p.x, rest, err = scanNumber(s, mark)
	if err != nil {
		return p, "", err
	}
	rest = strings.TrimLeft(rest, " ")
	end := 0
	for end < len(rest) && !(rest[end] >= '0' && rest[end] <= '9' && !exponentOfUnit(rest, end)) {
		end++
	}
	if end < len(rest) && end > 0 && rest[end-1] == '.' { // "6 lb .5 oz"
		end--
	}
	p.unit = strings.Trim(rest[:end], " ,")
	for _, and := range []string{" and", " &"} {
		p.unit = strings.TrimSuffix(p.unit, and)
	}
	return p, rest[end:], nil
}

// exponentOfUnit reports whether the digit at i belongs to a unit such as cm3.
func exponentOfUnit(s string, i int) bool {
	if s[i] != '3' || i+1 < len(s) && s[i+1] != ' ' {
		return false
	}
	word := s[strings.LastIndexByte(s[:i], ' ')+1 : i]
	switch strings.ToLower(word) {
	case "mm", "cm", "dm", "m", "in", "ft", "g/cm", "kg/m":
		return true
	}
	return false
}

// scanNumber reads a number, a fraction or a whole number with a fraction off
// the front of s.
func scanNumber(s string, mark Mark) (x float64, rest string, err error) {
	sign := 1.0
	if strings.HasPrefix(s, "-") {
		sign, s = -1, s[1:]
	}
	s = strings.TrimPrefix(s, "+")
	run := digitsAndMarks(s)
	rest = s[len(run):]
	if x, after, ok := grouped(s); ok {
		return sign * x, after, nil
	}
	if b, after, ok := denominator(rest); ok {
		x, err = ratio(run, b)
		return sign * x, after, err
	}
	if x, err = decimal(strings.TrimRight(run, ",."), mark); err != nil {
		return 0, "", err
	}
	if strings.HasSuffix(run, ".") || strings.HasSuffix(run, ",") {
		return sign * x, rest, nil
	}
	if fraction, after, ok := fractionAfter(rest); ok && !strings.ContainsAny(run, ".,") {
		return sign * (x + fraction), after, nil
	}
	return sign * x, rest, nil
}

// grouped reads a number whose thousands are parted by spaces or apostrophes,
// off the front of s: 1 200 or 1'200.5.
func grouped(s string) (x float64, rest string, ok bool) {
	first := digits(s)
	if len(first) < 1 || len(first) > 3 || first[0] == '0' || len(first) == len(s) {
		return 0, "", false
	}
	sep, all, rest := s[len(first)], first, s[len(first):]
	if sep != ' ' && sep != '\'' {
		return 0, "", false
	}
	for len(rest) >= 4 && rest[0] == sep && len(digits(rest[1:])) == 3 {
		all, rest = all+rest[1:4], rest[4:]
	}
	if len(all) == len(first) || strings.HasPrefix(rest, "/") {
		return 0, "", false
	}
	if len(rest) > 1 && (rest[0] == '.' || rest[0] == ',') {
		decimals := digits(rest[1:])
		all, rest = all+"."+decimals, rest[1+len(decimals):]
	}
	x, err := number(all)
	return x, rest, err == nil
}

// digits is the run of digits with which s begins.
func digits(s string) string {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return s[:n]
}

// fractionAfter reads the 1/4 of 1 1/4 or 1-1/4.
func fractionAfter(s string) (x float64, rest string, ok bool) {
	t := strings.TrimLeft(s, " ")
	t = strings.TrimPrefix(t, "-")
	if len(t) == len(s) {
		return 0, "", false
	}
	run := digitsAndMarks(t)
	b, after, ok := denominator(t[len(run):])
	if !ok {
		return 0, "", false
	}
	x, err := ratio(run, b)
	return x, after, err == nil && x < 1
}

func denominator(s string) (below, rest string, ok bool) {
	if !strings.HasPrefix(s, "/") {
		return "", "", false
	}
	n := 1
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return s[1:n], s[n:], n > 1
}

func ratio(a, b string) (float64, error) {
	if a == "" || strings.ContainsAny(a, ".,") || len(b) > 3 || len(a) > 4 {
		return 0, ErrUnreadable
	}
	x, errA := number(a)
	y, errB := number(b)
	if errA != nil || errB != nil || y == 0 {
		return 0, ErrUnreadable
	}
	return x / y, nil
}

func digitsAndMarks(s string) string {
	i := strings.IndexFunc(s, func(r rune) bool { return !unicode.IsDigit(r) && r != '.' && r != ',' || r > '9' })
	if i < 0 {
		return s
	}
	return s[:i]
}

// addUp turns the parts into one quantity.
func addUp(parts []part, def Unit, dims []Dimension) (Quantity, error) {
	q := Quantity{Plain: len(parts) == 1 && parts[0].unit == "", By: def.Dim}
	var before Unit
	for i, p := range parts {
		u, err := unitOf(p, before, def, dims, i)
		if err != nil {
			return Quantity{}, err
		}
		if i > 0 && (u.Dim != before.Dim || u.Scale >= before.Scale || u.Offset != 0 || before.Offset != 0 || p.x < 0) {
			return Quantity{}, ErrUnreadable
		}
		q.Base += u.Base(p.x)
		q.By = u.Dim
		before = u
	}
	if q.Written = parts[0].x; len(parts) > 1 {
		q.Written = tables.Absent()
	}
	return q, nil
}

func unitOf(p part, before, def Unit, dims []Dimension, i int) (Unit, error) {
	if p.unit == "" {
		switch {
		case i == 0:
			return def, nil
		case before.Name == "h": // 1h30
			return Unit{Name: "min", Dim: Duration, Scale: 1}, nil
		case before.Name == "ft": // 5'6
			return Unit{Name: "in", Dim: Length, Scale: 25.4}, nil
		case before.Name == "lb": // 2 lb 6
			return Unit{Name: "oz", Dim: Mass, Scale: 0.45359237 / 16}, nil
		case before.Name == "min": // 22'30
			return Unit{Name: "s", Dim: Duration, Scale: 1.0 / 60}, nil
		}
		return Unit{}, ErrUnreadable
	}
	if strings.ContainsAny(p.unit, "?*~±<>+=") {
		return Unit{}, ErrUnreadable // more than a unit, which spellings of units would hide
	}
	for _, d := range dims {
		if u, ok := LookUnit(p.unit, d); ok && u.Pattern == AnyPattern {
			return u, nil
		}
	}
	if u, ok := LookAnyUnit(p.unit); ok && u.Pattern == AnyPattern {
		return Unit{}, fmt.Errorf("%w: %s", ErrWrongUnit, u.Name)
	}
	return Unit{}, ErrUnreadable
}
