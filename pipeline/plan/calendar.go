package plan

import (
	"slices"
	"time"

	"moldwright/pipeline/tables"
)

// calendar is the working days of a plan.
type calendar struct {
	from, until tables.Date
	days        []tables.Date // working days, ascending
	at          []int32       // by date − from: index in days of the first working day on or after it
}

func newCalendar(from, until tables.Date, week []time.Weekday, off []tables.Date) calendar {
	c := calendar{from: from, until: until}
	shut := map[tables.Date]bool{}
	for _, d := range off {
		shut[d] = true
	}
	for d := from; d <= until; d++ {
		c.at = append(c.at, int32(len(c.days)))
		if slices.Contains(week, d.Time().Weekday()) && !shut[d] {
			c.days = append(c.days, d)
		}
	}
	return c
}

// onOrAfter is the index of the first working day on or after d; len(days) where
// there is none.
func (c *calendar) onOrAfter(d tables.Date) int {
	switch {
	case d <= c.from:
		return 0
	case d > c.until:
		return len(c.days)
	}
	return int(c.at[d-c.from])
}

// onOrBefore is the index of the last working day on or before d; −1 where there
// is none.
func (c *calendar) onOrBefore(d tables.Date) int {
	if d < c.from {
		return -1
	}
	return c.onOrAfter(d+1) - 1
}

// day is the working day of an index; NoDate outside.
func (c *calendar) day(i int) tables.Date {
	if i < 0 || i >= len(c.days) {
		return tables.NoDate
	}
	return c.days[i]
}
