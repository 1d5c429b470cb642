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
}

var ErrWrongUnit = errors.New("a unit that does not fit")

// signs are written alike before a quantity is read.
var signs = strings.NewReplacer(
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "−", "-", "⁄", "/",
	"″", `"`, "“", `"`, "”", `"`, "''", `"`, "′", "'", "’", "'", "‘", "'",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

// Parse reads a number with or without units: 5.2, 5,2 mm, 1 1/4 in,
// 3/16", 2 lb 6 oz, 0:22, 1.5 h. A plain number is in the unit def. Several
// parts must go from larger to smaller units. Units of the dimensions dims are
// taken, the first being that of def.
func Parse(s string, def Unit, mark Mark, dims ...Dimension) (Quantity, error) {
	if x, ok := Plain(s); ok && (mark != MarkComma || !strings.Contains(s, ".")) {
		return Quantity{Base: def.Base(x), Written: x, Plain: true, By: def.Dim}, nil
	}
	s = Clean(signs.Replace(s))
	if s == "" || len(s) > 80 {
		return Quantity{}, errNotNumber
	}
	if def.Dim == Duration && strings.Contains(s, ":") {
		minutes, err := parseSpan(s, def.Pattern)
		return Quantity{Base: minutes, Written: minutes, By: Duration}, err
	}
	var parts []part
	for rest := s; rest != ""; {
		p, after, err := nextPart(rest, mark)
		if err != nil {
			return Quantity{}, err
		}
		parts = append(parts, p)
		rest = after
	}
	return addUp(parts, def, dims)
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

func denominator(s string) (digits, rest string, ok bool) {
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
		return 0, errNotNumber
	}
	x, errA := number(a)
	y, errB := number(b)
	if errA != nil || errB != nil || y == 0 {
		return 0, errNotNumber
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
			return Quantity{}, errNotNumber
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
		}
		return Unit{}, errNotNumber
	}
	for _, d := range dims {
		if u, ok := LookUnit(p.unit, d); ok && u.Pattern == anyPattern {
			return u, nil
		}
	}
	if u, ok := LookAnyUnit(p.unit); ok && u.Pattern == anyPattern {
		return Unit{}, fmt.Errorf("%w: %s", ErrWrongUnit, u.Name)
	}
	return Unit{}, errNotNumber
}
