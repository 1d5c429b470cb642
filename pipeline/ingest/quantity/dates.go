package quantity

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"moldwright/pipeline/tables"
)

// DayOrder is which of day and month comes first where both are numbers.
type DayOrder int

const (
	OrderUnknown DayOrder = iota // nothing shows it
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

// Day is a date as read from a cell.
type Day struct {
	Date    tables.Date
	Minutes float64  // time of day that stood with it, absent where none did
	Shows   DayOrder // what the date proves: its other order would be no date
}

// Calendar is how the dates of a column are written, and what is known about
// them from elsewhere.
type Calendar struct {
	Date1904 bool // serial numbers count from 1904
	Order    DayOrder
	// Year completes dates without one, 14 Mar; Month, too, numbers of days
	// alone. Zero where not known: such dates are then unreadable. Month counts
	// from 1 and only with a Year.
	Year, Month int
}

// ParseDay reads a date: a spreadsheet's serial number, ISO 8601 (a week date,
// 2025-W11-3, too), day, month and year as numbers, or with the month as a word
// of one of several languages. A weekday may stand before it and a time after it.
//
// Errors: ErrUnreadable; ErrAmbiguous, day and month can be told apart only by
// the column's order, which is not known.
func ParseDay(s string, cal Calendar) (Day, error) {
	if year, month, day, ok := isoDate(s); ok { // as most logs write them: the rest would find the same
		d, err := made(year, month, day)
		d.Minutes = tables.Absent()
		return d, err
	}
	if x, ok := Plain(s); ok {
		return fromNumber(s, x, cal)
	}
	if len(s) > longestNumber {
		return Day{}, ErrUnreadable
	}
	s = strings.ToLower(strings.Join(strings.Fields(normal(s)), " "))
	if x, ok := Plain(s); ok {
		return fromNumber(s, x, cal)
	}
	date, rest := splitTime(s)
	minutes := tables.Absent()
	if rest != "" {
		m, _, err := ParseClock(rest)
		if err != nil {
			return Day{}, ErrUnreadable
		}
		minutes = m
	}
	d, err := parseDate(date, cal)
	d.Minutes = minutes
	return d, err
}

// isoDate parts 2025-03-14 into its numbers; false for a text of another form.
func isoDate(s string) (year, month, day int, ok bool) {
	if len(s) != len("2025-03-14") || s[4] != '-' || s[7] != '-' {
		return 0, 0, 0, false
	}
	n := [3]int{}
	for i, part := range []string{s[:4], s[5:7], s[8:]} {
		for k := range len(part) {
			if part[k] < '0' || part[k] > '9' {
				return 0, 0, 0, false
			}
			n[i] = 10*n[i] + int(part[k]-'0')
		}
	}
	return n[0], n[1], n[2], true
}

// fromNumber reads a serial number, or a day written as 20250301.
func fromNumber(s string, x float64, cal Calendar) (Day, error) {
	whole := math.Floor(x)
	if cal.Year > 0 && cal.Month > 0 && whole == x && x >= 1 && x <= 31 {
		d, err := made(cal.Year, cal.Month, int(x))
		d.Minutes = tables.Absent()
		return d, err
	}
	if whole == x && len(s) == 8 && x >= 19_000_000 && x < 22_000_000 {
		d, ok := date(int(x)/10_000, int(x)/100%100, int(x)%100)
		if !ok {
			return Day{}, ErrUnreadable
		}
		return Day{Date: d, Minutes: tables.Absent()}, nil
	}
	if x < 1 || x >= 2_958_466 { // 31 December 9999 is the last day of spreadsheets
		return Day{}, ErrUnreadable
	}
	d := Day{Date: fromSerial(int(whole), cal.Date1904), Minutes: tables.Absent()}
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
		return splitHour(s)
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
	return beforeTime(s[:at]), rest
}

// splitHour parts a date from a time without a colon: 14h30, 2 pm, 2pm.
func splitHour(s string) (date, rest string) {
	at := strings.LastIndexByte(s, ' ')
	if at > 0 && slices.Contains([]string{"am", "pm", "a.m.", "p.m.", "uhr"}, s[at+1:]) {
		at = strings.LastIndexByte(s[:at], ' ')
	}
	if at <= 0 {
		return s, ""
	}
	rest = s[at+1:]
	if rest == "" || rest[0] < '0' || rest[0] > '9' || !strings.ContainsAny(rest, "hap") {
		return s, ""
	}
	if _, _, err := ParseClock(rest); err != nil {
		return s, ""
	}
	return beforeTime(s[:at]), rest
}

// beforeTime takes what joins a time to its date off the date.
func beforeTime(s string) string {
	s = strings.TrimRight(s, " ,")
	for _, word := range []string{" at", " um", " à", " om", " alle", " a las", " às"} {
		s = strings.TrimSuffix(s, word)
	}
	return strings.TrimRight(s, " ,")
}

func parseDate(s string, cal Calendar) (Day, error) {
	fields := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" -/.,", r) })
	fields = slices.DeleteFunc(fields, func(f string) bool { return slices.Contains(fillers, f) })
	if len(fields) > 1 && len(fields) < 7 && isWeekday(fields[0]) && (len(fields) == 4 || fields[0] == "segunda" || MonthOf(fields[0]) == 0) {
		fields = slices.DeleteFunc(fields[1:], func(f string) bool { return f == "feira" })
	}
	if len(fields) < 3 && cal.Year > 0 {
		return withoutYear(fields, strings.Contains(s, "."), cal)
	}
	if len(fields) != 3 {
		return Day{}, ErrUnreadable
	}
	for at := range 2 {
		if m := MonthOf(fields[at]); m > 0 {
			return wordDate(fields, at, m)
		}
	}
	if week, ok := strings.CutPrefix(fields[1], "w"); ok {
		return weekDate(fields[0], week, fields[2])
	}
	n := [3]int{}
	for i, f := range fields {
		x, err := whole(f)
		if err != nil {
			return Day{}, err
		}
		n[i] = x
	}
	if len(fields[0]) == 4 {
		return made(n[0], n[1], n[2])
	}
	if len(fields[2]) != 4 && len(fields[2]) != 2 || len(fields[0]) > 2 || len(fields[1]) > 2 {
		return Day{}, ErrUnreadable
	}
	return numbers(n[0], n[1], century(n[2], fields[2]), strings.Contains(s, "."), cal.Order)
}

// whole reads up to four digits.
func whole(s string) (int, error) {
	if len(s) < 1 || len(s) > 4 || strings.Trim(s, "0123456789") != "" {
		return 0, ErrUnreadable
	}
	return strconv.Atoi(s)
}

// withoutYear reads a date whose year, or whose month and year, are known from
// elsewhere: 14 Mar, 14/3, Fri 14.
func withoutYear(fields []string, points bool, cal Calendar) (Day, error) {
	year := strconv.Itoa(cal.Year)
	switch len(fields) {
	case 1:
		n, err := whole(ordinal(fields[0]))
		if err != nil || cal.Month <= 0 {
			return Day{}, ErrUnreadable
		}
		return made(cal.Year, cal.Month, n)
	case 2:
		for at := range 2 {
			if m := MonthOf(fields[at]); m > 0 {
				return wordDate([]string{fields[0], fields[1], fmt.Sprintf("%04s", year)}, at, m)
			}
		}
		a, errA := whole(fields[0])
		b, errB := whole(fields[1])
		if errA != nil || errB != nil || len(fields[0]) > 2 || len(fields[1]) > 2 {
			return Day{}, ErrUnreadable
		}
		return numbers(a, b, cal.Year, points, cal.Order)
	}
	return Day{}, ErrUnreadable
}

// weekDate reads a week date of ISO 8601: year, number of the week, and day of
// the week from Monday, 1, on. Week 1 is the one with the 4th of January.
func weekDate(yearField, weekField, dayField string) (Day, error) {
	year, errY := whole(yearField)
	week, errW := whole(weekField)
	weekday, errD := whole(dayField)
	if errY != nil || errW != nil || errD != nil || len(yearField) != 4 || week < 1 || week > 53 || weekday < 1 || weekday > 7 || year < 1 {
		return Day{}, ErrUnreadable
	}
	fourth := time.Date(year, time.January, 4, 0, 0, 0, 0, time.UTC)
	monday := fourth.AddDate(0, 0, -int(fourth.Weekday()+6)%7)
	t := monday.AddDate(0, 0, 7*(week-1)+weekday-1)
	if y, w := t.ISOWeek(); y != year || w != week || t.Year() > 9999 || t.Year() < 1 {
		return Day{}, ErrUnreadable
	}
	return Day{Date: tables.DateOf(t)}, nil
}

// numbers reads a date of three numbers whose last is the year. Points between
// them are only in use where the day comes first.
func numbers(a, b, year int, points bool, order DayOrder) (Day, error) {
	byDay, dayOK := date(year, b, a)
	byMonth, monthOK := date(year, a, b)
	switch {
	case points && dayOK:
		return Day{Date: byDay}, nil
	case points || !dayOK && !monthOK:
		return Day{}, ErrUnreadable
	case !monthOK:
		return Day{Date: byDay, Shows: DayFirst}, nil
	case !dayOK:
		return Day{Date: byMonth, Shows: MonthFirst}, nil
	case order == DayFirst || a == b:
		return Day{Date: byDay}, nil
	case order == MonthFirst:
		return Day{Date: byMonth}, nil
	}
	return Day{}, ErrAmbiguous
}

// wordDate reads a date whose field at is the month m: 1 March 2025, March 1st 2025.
func wordDate(fields []string, at, m int) (Day, error) {
	d, errD := whole(ordinal(fields[1-at]))
	y, errY := whole(fields[2])
	if errD == nil && len(fields[1-at]) == 4 && at == 1 && len(fields[2]) <= 2 { // 2025 March 1
		return made(d, m, y)
	}
	if errD != nil || errY != nil || len(fields[2]) != 4 && len(fields[2]) != 2 {
		return Day{}, ErrUnreadable
	}
	return made(century(y, fields[2]), m, d)
}

// ordinal takes the ending off the number of a day: 1st, 1er, 1º.
func ordinal(s string) string {
	for _, ending := range []string{"st", "nd", "rd", "th", "er", "º", "°", "ª", "e"} {
		if t, ok := strings.CutSuffix(s, ending); ok {
			return t
		}
	}
	return s
}

func made(year, month, dayOfMonth int) (Day, error) {
	d, ok := date(year, month, dayOfMonth)
	if !ok {
		return Day{}, ErrUnreadable
	}
	return Day{Date: d}, nil
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
