package tables

import (
	"math"
	"time"
)

// Date is a calendar day as days since 1970-01-01; NoDate stands for an absent
// one and is null in Arrow.
type Date int32

// NoDate is the absent Date.
const NoDate Date = math.MinInt32

// DateOf returns the calendar day of t in t's own location.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// MakeDate returns the day of that year, month and day of month.
func MakeDate(year int, month time.Month, day int) Date {
	return DateOf(time.Date(year, month, day, 0, 0, 0, 0, time.UTC))
}

// Time returns midnight UTC of the day.
func (d Date) Time() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// Valid reports whether the date is present.
func (d Date) Valid() bool { return d != NoDate }

// String is the ISO 8601 form, "" for NoDate.
func (d Date) String() string {
	if d == NoDate {
		return ""
	}
	return d.Time().Format("2006-01-02")
}
