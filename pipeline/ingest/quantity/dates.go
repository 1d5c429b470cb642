package quantity

import (
	"math"
	"strconv"
	"strings"
	"time"

	"moldwright/pipeline/tables"
)

// DayOrder is which of day and month comes first where both are numbers.
type DayOrder int

const (
	OrderUnknown DayOrder = iota
	DayFirst
	MonthFirst
	OrderMixed // the column shows both
)

func (o DayOrder) String() string {
	switch o {
	case DayFirst:
		return "day first"
	case MonthFirst:
		return "month first"
	}
	return ""
}

// day is a date as read from a cell.
type day struct {
	Date    tables.Date
	Minutes float64  // time of day that stood with it, absent where none did
	Shows   DayOrder // what the date proves: its other order would be no date
}

// Calendar is how the dates of a column are written.
type Calendar struct {
	Date1904 bool
	Order    DayOrder
}

// ParseDay reads a date: a spreadsheet's serial number, ISO 8601, day, month
// and year as numbers, or with the month as a word. A time may follow.
// errAmbiguous: day and month can be told apart only by the column's order,
// which is not known.
func ParseDay(s string, cal Calendar) (day, error) {
	if x, ok := Plain(s); ok {
		return fromNumber(s, x, cal.Date1904)
	}
	if len(s) > 60 {
		return day{}, errNotNumber
	}
	s = strings.ToLower(strings.Join(strings.Fields(signs.Replace(s)), " "))
	date, rest := splitTime(s)
	minutes := tables.Absent()
	if rest != "" {
		m, _, err := ParseClock(rest)
		if err != nil {
			return day{}, errNotNumber
		}
		minutes = m
	}
	d, err := parseDate(date, cal)
	d.Minutes = minutes
	return d, err
}

// fromNumber reads a serial number, or a day written as 20250301.
func fromNumber(s string, x float64, date1904 bool) (day, error) {
	whole := math.Floor(x)
	if whole == x && len(s) == 8 && x >= 19_000_000 && x < 22_000_000 {
		d, ok := date(int(x)/10_000, int(x)/100%100, int(x)%100)
		if !ok {
			return day{}, errNotNumber
		}
		return day{Date: d, Minutes: tables.Absent()}, nil
	}
	if x < 1 || x >= 2_958_466 { // 31 December 9999 is the last day of spreadsheets
		return day{}, errNotNumber
	}
	d := day{Date: fromSerial(int(whole), date1904), Minutes: tables.Absent()}
	if x != whole {
		d.Minutes = ToMinute((x - whole) * 1440)
	}
	return d, nil
}

// fromSerial is the day of a spreadsheet's serial number. The 1900 system counts
// a 29 February 1900 that never was, as its serial 60.
func fromSerial(n int, date1904 bool) tables.Date {
	switch {
	case date1904:
		return tables.MakeDate(1904, time.January, 1) + tables.Date(n)
	case n < 60:
		return tables.MakeDate(1899, time.December, 31) + tables.Date(n)
	}
	return tables.MakeDate(1899, time.December, 30) + tables.Date(n)
}

// splitTime parts a date from the time after it, both in lower case.
func splitTime(s string) (date, rest string) {
	colon := strings.IndexByte(s, ':')
	if colon < 0 {
		return s, ""
	}
	at := strings.LastIndexAny(s[:colon], " t")
	if at < 0 {
		return s, ""
	}
	rest = strings.TrimSuffix(strings.TrimSpace(s[at+1:]), "z")
	if dot := strings.LastIndexByte(rest, '.'); dot > 0 && strings.Count(rest, ":") == 2 && !strings.HasSuffix(rest, ".") {
		if strings.Trim(rest[dot+1:], "0123456789") == "" {
			rest = rest[:dot] // fractions of a second
		}
	}
	return strings.TrimRight(s[:at], " ,"), rest
}

var months = []string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}

var weekdays = []string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}

func parseDate(s string, cal Calendar) (day, error) {
	fields := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" -/.,", r) })
	if len(fields) == 4 && wordOf(fields[0], weekdays, 2) > 0 {
		fields = fields[1:]
	}
	if len(fields) != 3 {
		return day{}, errNotNumber
	}
	for at := range 2 {
		if m := wordOf(fields[at], months, 3); m > 0 {
			return wordDate(fields, at, m)
		}
	}
	n := [3]int{}
	for i, f := range fields {
		x, err := strconv.Atoi(f)
		if err != nil || x < 0 || len(f) > 4 || f[0] == '+' {
			return day{}, errNotNumber
		}
		n[i] = x
	}
	if len(fields[0]) == 4 {
		return made(n[0], n[1], n[2], OrderUnknown)
	}
	if len(fields[2]) != 4 && len(fields[2]) != 2 || len(fields[0]) > 2 || len(fields[1]) > 2 {
		return day{}, errNotNumber
	}
	return numbers(n[0], n[1], century(n[2], fields[2]), strings.Contains(s, "."), cal.Order)
}

// numbers reads a date of three numbers whose last is the year. Points between
// them are only in use where the day comes first.
func numbers(a, b, year int, points bool, order DayOrder) (day, error) {
	byDay, dayOK := date(year, b, a)
	byMonth, monthOK := date(year, a, b)
	switch {
	case points && dayOK:
		return day{Date: byDay}, nil
	case points || !dayOK && !monthOK:
		return day{}, errNotNumber
	case !monthOK:
		return day{Date: byDay, Shows: DayFirst}, nil
	case !dayOK:
		return day{Date: byMonth, Shows: MonthFirst}, nil
	case order == DayFirst || a == b:
		return day{Date: byDay}, nil
	case order == MonthFirst:
		return day{Date: byMonth}, nil
	}
	return day{}, ErrAmbiguous
}

// wordDate reads a date whose field at is the month m: 1 March 2025, March 1st 2025.
func wordDate(fields []string, at, m int) (day, error) {
	dayField := fields[1-at]
	for _, suffix := range []string{"st", "nd", "rd", "th"} {
		dayField = strings.TrimSuffix(dayField, suffix)
	}
	d, errD := strconv.Atoi(dayField)
	y, errY := strconv.Atoi(fields[2])
	if errD != nil || errY != nil || len(fields[2]) != 4 && len(fields[2]) != 2 {
		return day{}, errNotNumber
	}
	return made(century(y, fields[2]), m, d, OrderUnknown)
}

func made(year, month, dayOfMonth int, shows DayOrder) (day, error) {
	d, ok := date(year, month, dayOfMonth)
	if !ok {
		return day{}, errNotNumber
	}
	return day{Date: d, Shows: shows}, nil
}

// date is the day, if there is one such.
func date(year, month, dayOfMonth int) (tables.Date, bool) {
	if year < 1 || year > 9999 || month < 1 || month > 12 || dayOfMonth < 1 || dayOfMonth > 31 {
		return tables.NoDate, false
	}
	t := time.Date(year, time.Month(month), dayOfMonth, 0, 0, 0, 0, time.UTC)
	return tables.DateOf(t), t.Day() == dayOfMonth
}

// century completes a year of two digits: up to 69 in this century, as
// spreadsheet programs and POSIX have it.
func century(y int, written string) int {
	switch {
	case len(written) != 2:
		return y
	case y < 70:
		return 2000 + y
	}
	return 1900 + y
}

// wordOf is the number, from 1, of a word or its beginning of at least so many
// letters; 0 where it is none.
func wordOf(s string, words []string, least int) int {
	if s == "sept" {
		s = "sep"
	}
	for i, w := range words {
		if len(s) >= least && (s == w || len(s) == 3 && strings.HasPrefix(w, s) || len(s) == 2 && least == 2 && strings.HasPrefix(w, s)) {
			return i + 1
		}
	}
	return 0
}

// OrderInHeader finds the order that a header states, as in Date (dd/mm/yyyy).
func OrderInHeader(s string) DayOrder {
	s = strings.ToLower(s)
	if strings.Trim(s, "dmy/.- ") != "" || len(s) > 14 {
		return OrderUnknown
	}
	d, m, y := strings.IndexByte(s, 'd'), strings.IndexByte(s, 'm'), strings.IndexByte(s, 'y')
	switch {
	case d < 0 || m < 0 || y < d || y < m:
		return OrderUnknown
	case d < m:
		return DayFirst
	}
	return MonthFirst
}
