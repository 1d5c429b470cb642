package workbook

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// value is what stands in a cell: nothing, a text, or a number with a number
// format that shows no more digits than are known. The zero value is an empty cell.
type value struct {
	is     int
	text   string // the text, or the number as a reader sees it
	number float64
	code   string // number format

	formula string // what a spreadsheet program works the value out by, "" for a plain value
}

// by makes a value one that a spreadsheet program can work out anew; what it
// holds is what the formula gave us. A name in braces stands for the cell of that
// column in the same row.
func (v value) by(formula string) value {
	v.formula = formula
	return v
}

const (
	isEmpty = iota
	isText
	isNumber
)

// mostText is the longest text that a cell holds, in UTF-16 units. Spreadsheet programs refuse longer ones.
const mostText = 32767

// words is a text cell. It stays text whatever it begins with. What a
// spreadsheet cannot hold (control characters) is left out, and a text that is
// too long for a cell ends with an ellipsis.
func words(s string) value {
	if s == "" {
		return value{}
	}
	s = strings.Map(func(r rune) rune {
		if r == '\r' || r < ' ' && r != '\n' && r != '\t' {
			return -1
		}
		return r
	}, s)
	if len(s) > mostText {
		if runes := []rune(s); len(runes) > mostText/2 {
			s = string(runes[:mostText/2-1]) + "…"
		}
	}
	return value{is: isText, text: s}
}

// fixed is a number with so many decimals, empty where absent.
func fixed(x float64, decimals int) value {
	if !known(x) {
		return value{}
	}
	return value{is: isNumber, number: x, code: decimalsCode(decimals), text: format.Fixed(x, decimals)}
}

// significant is a number with so many significant digits.
func significant(x float64, digits int) value {
	if !known(x) {
		return value{}
	}
	return fixed(x, decimalsFor(x, digits))
}

// alike is a number with as many decimals as show two digits of its standard
// error; without one, three digits less closing zeros, as of a number that was set.
func alike(x, standardError float64) value {
	if known(standardError) && standardError > 0 {
		return fixed(x, decimalsFor(standardError, 2))
	}
	return shortest(x, 3)
}

// shortest is a number with so many significant digits less closing zeros.
func shortest(x float64, digits int) value {
	v := significant(x, digits)
	for d := decimalsFor(x, digits) - 1; d >= 0 && known(x) && strings.HasSuffix(v.text, "0"); d-- {
		v = fixed(x, d)
	}
	return v
}

// dwellMin is a dwell to the minute, below 10 min to half of one, as format.Dwell writes it.
func dwellMin(min float64) value {
	if math.Abs(min) < 10 {
		return fixed(math.Round(min*2)/2, 1)
	}
	return fixed(min, 0)
}

// money shows the digits that format.Money shows.
func money(x float64) value {
	if math.Abs(x) >= 100 {
		return fixed(x, 0)
	}
	return fixed(x, 2)
}

// casts is a number of casts, whole.
func casts(n float64) value { return fixed(n, 0) }

func count(n tables.Count) value {
	if n == tables.NoCount {
		return value{}
	}
	return fixed(float64(n), 0)
}

func whole(n int) value { return fixed(float64(n), 0) }

// percent is a part of one in whole percent; a chance that is not sure never
// shows as 0 or 100.
func percent(p float64) value {
	if !known(p) {
		return value{}
	}
	v := value{is: isNumber, number: p, code: "0%", text: format.Percent(p)}
	switch {
	case p > 0 && p < 0.005:
		v.code = `"<1%"`
	case p < 1 && p > 0.995:
		v.code = `">99%"`
	}
	return v
}

// chance is a simulated chance in whole percent. One that came true in every
// draw, or in none, is not sure for that.
func chance(p float64) value {
	v := percent(p)
	switch p {
	case 0:
		v.code = `"<1%"`
	case 1:
		v.code = `">99%"`
	}
	if v.is == isNumber {
		v.text = format.Chance(p)
	}
	return v
}

// capital begins with a capital letter.
func capital(text string) string {
	if text == "" {
		return ""
	}
	runes := []rune(text)
	return string(unicode.ToUpper(runes[0])) + string(runes[1:])
}

// finePercent is a small part of one in percent: one decimal, or two below 1 %.
func finePercent(p float64) value {
	if !known(p) {
		return value{}
	}
	decimals := 1
	if math.Abs(p) < 0.01 {
		decimals = 2
	}
	code := decimalsCode(decimals) + "%"
	return value{is: isNumber, number: p, code: code, text: format.Wear(p)}
}

// serialDay is a date as a spreadsheet's number of days, or as text before March 1900.
func serialDay(d tables.Date) value {
	if !d.Valid() {
		return value{}
	}
	const epoch = 25569 // serial number of 1970-01-01
	if serial := int(d) + epoch; serial > 60 {
		return value{is: isNumber, number: float64(serial)}
	}
	return words(d.String())
}

// marked adds a word or sign to a number's format: the cell stays a number.
func (v value) marked(sign string) value {
	if v.is == isNumber {
		v.code += `"` + sign + `"`
		v.text += sign
	}
	return v
}

func known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func decimalsCode(decimals int) string {
	if decimals <= 0 {
		return "0"
	}
	const most = "0.00000000000000000000"
	return most[:min(len("0.")+decimals, len(most))]
}

// decimalsFor is how many decimals show so many significant digits of x, at most 6.
func decimalsFor(x float64, digits int) int {
	if x == 0 {
		return 0
	}
	return min(6, max(0, digits-1-int(math.Floor(math.Log10(math.Abs(x))))))
}

// span writes two numbers as "33–44", or "−2 to 5" below zero; empty where either is absent.
func span(low, high value) value {
	if low.is != isNumber || high.is != isNumber {
		return value{}
	}
	from := low.text
	if unit := " %"; strings.HasSuffix(high.text, unit) {
		from = strings.TrimSuffix(from, unit)
	}
	if low.number < 0 {
		return words(from + " to " + high.text)
	}
	return words(from + "–" + high.text)
}

func number(n int) string { return strconv.Itoa(n) }

// trimUnit is a written quantity without the unit at its end.
func trimUnit(text string) string {
	if i := strings.LastIndex(text, " "); i > 0 {
		return text[:i]
	}
	return text
}
