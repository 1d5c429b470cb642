package ingest

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"moldwright/pipeline/ingest/quantity"
)

// month is a month, or a year alone; the zero month is none.
type month struct {
	year  int
	month time.Month // 0 where only the year is known
	from  string
}

func (m month) known() bool { return m.year > 0 || m.month > 0 }

func (m month) String() string {
	switch {
	case m.month == 0:
		return strconv.Itoa(m.year)
	case m.year == 0:
		return m.month.String()
	}
	return fmt.Sprintf("%s %d", m.month, m.year)
}

// monthOf reads March 2025, Mar 25, 2025-03, 03/2025, 2025 or March; a text that
// says more is none.
func monthOf(s string) month {
	fields := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if len(fields) == 0 || len(fields) > 2 || len(s) > 24 {
		return month{}
	}
	var m month
	named := false
	for _, w := range fields {
		n, err := strconv.Atoi(w)
		switch {
		case err == nil && len(w) == 4 && n >= 1980 && n < 2100 && m.year == 0:
			m.year = n
		case err == nil && len(w) == 2 && named && m.year == 0: // Mar 25
			m.year = 2000 + n
		case err == nil && len(w) <= 2 && n >= 1 && n <= 12 && m.month == 0 && len(fields) == 2:
			m.month = time.Month(n)
		case err != nil && m.month == 0 && time.Month(quantity.MonthOf(w)) > 0:
			m.month, named = time.Month(quantity.MonthOf(w)), true
		default:
			return month{}
		}
	}
	if m.year == 0 && strings.Trim(fields[0], "0123456789") == "" {
		return month{} // 03-04
	}
	return m
}

// monthFor is the month of a table, from the lines above it or the sheet's name.
func (f *finder) monthFor(l *line) month {
	above, from, to := f.titles(l)
	for row := to - 1; row >= from; row-- {
		r := above.Row(row)
		for at := 0; at < min(r.Width(), narrow); at++ {
			text := r.Cell(at)
			if before, after, ok := strings.Cut(text, ":"); ok && slices.Contains([]string{"month", "year"}, strings.ToLower(quantity.Clean(before))) {
				text = after
			}
			if m := monthOf(text); m.known() {
				m.from = fmt.Sprintf("row %d", above.Number(row))
				return m
			}
		}
	}
	m := monthOf(f.sheet.Name)
	m.from = "the sheet's name"
	return m
}

// complete writes a date without a year, or the number of a day, as a whole date
// of the month: 4 becomes 2025-03-04. What is a date already stays as it is.
func (m month) complete(text string) (whole string, changed bool) {
	if !m.known() || len(text) > 20 {
		return text, false
	}
	if x, ok := quantity.Plain(text); ok {
		if m.year > 0 && m.month > 0 && x >= 1 && x <= 31 && x == float64(int(x)) {
			return m.day(int(x))
		}
		return text, false
	}
	fields := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	var numbers []int
	named := time.Month(0)
	for _, w := range fields {
		n, err := strconv.Atoi(strings.TrimRight(w, "stndrh"))
		switch {
		case err == nil && n >= 1 && n <= 31:
			numbers = append(numbers, n)
		case time.Month(quantity.MonthOf(w)) > 0 && named == 0:
			named = time.Month(quantity.MonthOf(w))
		case weekday(w):
		default:
			return text, false
		}
	}
	switch {
	case m.year == 0:
	case named > 0 && len(numbers) == 1:
		return month{year: m.year, month: named}.day(numbers[0])
	case named == 0 && len(numbers) == 1 && m.month > 0:
		return m.day(numbers[0])
	case named == 0 && len(numbers) == 2 && m.month > 0 && numbers[1] == int(m.month): // 4.3.
		return m.day(numbers[0])
	case named == 0 && len(numbers) == 2 && m.month > 0 && numbers[0] == int(m.month): // 3/4
		return m.day(numbers[1])
	}
	return text, false
}

func (m month) day(n int) (string, bool) {
	return fmt.Sprintf("%04d-%02d-%02d", m.year, m.month, n), true
}

func weekday(w string) bool {
	for d := time.Sunday; d <= time.Saturday; d++ {
		name := strings.ToLower(d.String())
		if len(w) >= 2 && len(w) <= len(name) && w == name[:len(w)] {
			return true
		}
	}
	return false
}
