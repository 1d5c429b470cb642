package plaster

import (
	"time"

	"moldwright/pipeline/tables"
)

// span is a run of days, both ends included.
type span struct {
	first, last tables.Date
}

func (s span) has(d tables.Date) bool { return d >= s.first && d <= s.last }

// days is the length of the span.
func (s span) days() float64 { return float64(s.last-s.first) + 1 }

func (s span) String() string { return s.first.String() + " to " + s.last.String() }

// monthsAfter is the same day of the month so many months later, or the last
// day of that month where it is shorter.
func monthsAfter(d tables.Date, months int) tables.Date {
	year, month, day := d.Time().Date()
	next := time.Date(year, month+time.Month(months), 1, 0, 0, 0, 0, time.UTC)
	lastDay := next.AddDate(0, 1, -1).Day()
	return tables.MakeDate(next.Year(), next.Month(), min(day, lastDay))
}

// halfYear is the half-year that begins on a day.
func halfYear(first tables.Date) span { return span{first, monthsAfter(first, 6) - 1} }

// likePeriods are the half-years of the same season in earlier years, latest
// first, as far back as the log of pours reaches whole.
func likePeriods(coming span, firstPour tables.Date) []span {
	var out []span
	const mostYears = 5
	for years := 1; years <= mostYears; years++ {
		before := halfYear(monthsAfter(coming.first, -12*years))
		// A log that began within a month of the season's start has seen it.
		if before.first+30 < firstPour {
			break
		}
		out = append(out, before)
	}
	return out
}
