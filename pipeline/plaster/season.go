package plaster

import (
	"fmt"
	"time"

	"moldwright/pipeline/tables"
)

// span is a run of days, both ends included.
type span struct {
	first, last tables.Date
}

// days is the length of the span, 0 where it ends before it begins.
func (s span) days() float64 { return max(0, float64(s.last-s.first)+1) }

func (s span) String() string { return s.first.String() + " to " + s.last.String() }

// within is the part of the span that lies in another.
func (s span) within(o span) span { return span{max(s.first, o.first), min(s.last, o.last)} }

// monthsAfter is the same day of the month so many months later, or the last
// day of that month where it is shorter.
func monthsAfter(d tables.Date, months int) tables.Date {
	year, month, day := d.Time().Date()
	next := time.Date(year, month+time.Month(months), 1, 0, 0, 0, 0, time.UTC)
	lastDay := next.AddDate(0, 1, -1).Day()
	return tables.MakeDate(next.Year(), next.Month(), min(day, lastDay))
}

// termMonths is the length of a term: half a calendar year, from January or July.
const termMonths = 6

// termSpan is the term of a day. Wherever pours are put into terms, this is
// the definition.
func termSpan(d tables.Date) span {
	year, month, _ := d.Time().Date()
	begin := (month-1)/termMonths*termMonths + 1
	first := tables.MakeDate(year, begin, 1)
	return span{first, monthsAfter(first, termMonths) - 1}
}

// termOf names the term of a day so that names sort by time: "2025 Jan to Jun"; ""
// for no date.
func termOf(d tables.Date) string {
	if !d.Valid() {
		return ""
	}
	t := termSpan(d)
	first, last := t.first.Time(), t.last.Time()
	return fmt.Sprintf("%d %s to %s", first.Year(), first.Format("Jan"), last.Format("Jan"))
}

// justBegunDays is how long a term counts as one that can still be budgeted.
const justBegunDays = 30

// comingTerm is what is budgeted on a day: the next term that begins after it, or
// the rest of a term that has just begun.
func comingTerm(asOf tables.Date) span {
	now := termSpan(asOf)
	if float64(asOf-now.first) < justBegunDays {
		return span{asOf + 1, now.last}
	}
	return termSpan(now.last + 1)
}

// window is a part of the log that is compared with the coming term.
type window struct {
	span
	like     bool    // the same days of an earlier year
	exposure float64 // days that it counts for
}

const (
	// Pours are counted so far back.
	mostYears = 5
	// A part of the log shorter than this says little of a term, and is left
	// out; where there is nothing else it counts as so long.
	fewestWindowDays = 30
	shortestLogDays  = 60
)

// windowsOf cuts the log, which reaches from its first pour to asOf, into the
// same days of earlier years and what lies between, latest first.
func windowsOf(coming span, first, asOf tables.Date) []window {
	log := span{first, asOf}
	var out []window
	longest := window{}
	add := func(s span, like bool) {
		s = s.within(log)
		w := window{s, like, s.days()}
		if w.exposure > longest.exposure {
			longest = w
		}
		if w.exposure >= fewestWindowDays {
			out = append(out, w)
		}
	}
	next := coming
	for year := 1; year <= mostYears; year++ {
		same := span{monthsAfter(coming.first, -12*year), monthsAfter(coming.last, -12*year)}
		add(span{same.last + 1, next.first - 1}, false)
		add(same, true)
		next = same
	}
	if len(out) == 0 && longest.exposure > 0 {
		out = append(out, longest)
	}
	if len(out) == 1 {
		out[0].exposure = max(out[0].exposure, shortestLogDays)
	}
	return out
}
