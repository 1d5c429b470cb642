package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"moldwright/pipeline/format"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// optionReader reads the values of options as cells of a spreadsheet are read.
// It keeps the first error; an empty value leaves its setting as it is.
type optionReader struct {
	order ingest.DateOrder
	err   error
}

func (r *optionReader) fail(err error) {
	if r.err == nil {
		r.err = err
	}
}

// wants keeps the error of an option that wants something else.
func (r *optionReader) wants(name, what, value string) {
	r.fail(fmt.Errorf("--%s wants %s, not %q", name, what, value))
}

func (r *optionReader) whole(name, value string, to *int, least, most int) {
	if value == "" {
		return
	}
	n, err := strconv.Atoi(strings.TrimSpace(value))
	if err != nil || n < least || n > most {
		r.wants(name, fmt.Sprintf("a whole number from %d to %d", least, most), value)
		return
	}
	*to = n
}

func (r *optionReader) number(name, value string, to *float64, least, most float64) {
	if value == "" {
		return
	}
	x, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
	if err != nil || !(x >= least && x <= most) {
		r.wants(name, fmt.Sprintf("a number from %s to %s", bound(least), bound(most)), value)
		return
	}
	*to = x
}

// bound writes a limit without closing zeros.
func bound(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// measured reads a quantity with a unit; plain numbers are in the unit of that name.
func (r *optionReader) measured(value, unit string, dim quantity.Dimension) (base float64, ok bool) {
	def, known := quantity.LookUnit(unit, dim)
	q, err := quantity.Parse(value, def, quantity.MarkBoth, dim)
	return q.Base, known && err == nil && q.Note == "" && !q.Approximate
}

func (r *optionReader) share(name, value string, to *float64, least, most float64) {
	if value == "" {
		return
	}
	x, ok := r.measured(value, "share", quantity.Share)
	if !ok || x < least || x > most {
		r.wants(name, fmt.Sprintf("a share from %s to %s, such as 90%%", format.Percent(least), format.Percent(most)), value)
		return
	}
	*to = x
}

func (r *optionReader) hours(name, value string, to *float64, least, most float64) {
	if value == "" {
		return
	}
	minutes, ok := r.measured(value, "h", quantity.Duration)
	if !ok || minutes < 60*least || minutes > 60*most {
		r.wants(name, fmt.Sprintf("a length of time from %s to %s hours, such as 3 h, 90 min or 1:30", bound(least), bound(most)), value)
		return
	}
	*to = minutes / 60
}

func (r *optionReader) wall(name, value string, to *float64) {
	if value == "" {
		return
	}
	mm, ok := r.measured(value, "mm", quantity.Length)
	if !ok || mm < 0.5 || mm > 50 {
		r.wants(name, "a wall from 0.5 to 50 mm, such as 5 mm or 3/16 in", value)
		return
	}
	*to = mm
}

func (r *optionReader) day(name, value string, to *tables.Date) {
	if value == "" {
		return
	}
	orders := map[ingest.DateOrder]quantity.DayOrder{ingest.DayFirst: quantity.DayFirst, ingest.MonthFirst: quantity.MonthFirst}
	d, err := quantity.ParseDay(value, quantity.Calendar{Order: orders[r.order]})
	_, isNumber := quantity.Plain(value)
	switch {
	case errors.Is(err, quantity.ErrAmbiguous):
		r.wants(name, "a day such as 2026-02-19 (or --dates says which of day and month comes first)", value)
	case err != nil || isNumber && len(value) != 8 || d.Date < tables.MakeDate(1950, 1, 1):
		r.wants(name, "a day such as 2026-02-19", value)
	default:
		*to = d.Date
	}
}

// mostDaysOff bounds a range of days off: no studio plans further.
const mostDaysOff = 3660

func (r *optionReader) daysOff(name string, values []string) []tables.Date {
	var days []tables.Date
	for _, v := range values {
		first, last, isRange := strings.Cut(v, "..")
		if !isRange {
			last = first
		}
		from, to := tables.NoDate, tables.NoDate
		r.day(name, first, &from)
		r.day(name, last, &to)
		if !from.Valid() || !to.Valid() || to < from || to-from > mostDaysOff {
			r.wants(name, "a day such as 2026-01-06, or a range such as 2025-12-22..2026-01-02 of at most ten years", v)
			return nil
		}
		for d := from; d <= to; d++ {
			days = append(days, d)
		}
	}
	slices.Sort(days)
	return slices.Compact(days)
}

// weekdays reads days of the week: mon-fri, or mon,wed,sat.
func (r *optionReader) weekdays(name, value string) []time.Weekday {
	if value == "" {
		return nil
	}
	const wanted = "days of the week, such as mon-fri or mon,wed,sat"
	var days []time.Weekday
	for _, part := range strings.Split(value, ",") {
		first, last, isRange := strings.Cut(part, "-")
		if !isRange {
			last = first
		}
		from, ok1 := weekdayOf(first)
		to, ok2 := weekdayOf(last)
		if !ok1 || !ok2 {
			r.wants(name, wanted, value)
			return nil
		}
		for d := from; ; d = (d + 1) % 7 {
			days = append(days, d)
			if d == to {
				break
			}
		}
	}
	slices.Sort(days)
	return slices.Compact(days)
}

// weekdayOf reads a day of the week by its first three letters at least.
func weekdayOf(word string) (time.Weekday, bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	for d := time.Sunday; d <= time.Saturday; d++ {
		if len(word) >= 3 && strings.HasPrefix(strings.ToLower(d.String()), word) {
			return d, true
		}
	}
	return 0, false
}

// kinds reads kinds of mold, parted by commas.
func (r *optionReader) kinds(name, value string) []string {
	if value == "" {
		return nil
	}
	known := kindsOfMold()
	var out []string
	for _, k := range strings.Split(value, ",") {
		k = strings.ToLower(strings.TrimSpace(k))
		if !slices.Contains(known, k) {
			r.wants(name, "kinds of mold parted by commas, of "+strings.Join(known, ", "), value)
			return nil
		}
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

func kindsOfMold() []string {
	c, _ := tables.Of[tables.Mold]().Column("kind")
	return c.Choices
}

// labour reads working hours by kind of mold: split=1.5 h.
func (r *optionReader) labour(name string, values []string) map[string]float64 {
	if len(values) == 0 {
		return nil
	}
	out := map[string]float64{}
	for _, v := range values {
		kind, hours, found := strings.Cut(v, "=")
		kind = strings.ToLower(strings.TrimSpace(kind))
		minutes, ok := r.measured(hours, "h", quantity.Duration)
		if !found || !ok || minutes < 0 || minutes > 100*60 || !slices.Contains(kindsOfMold(), kind) {
			r.wants(name, "a kind of mold and the work for one, such as split=1.5 h", v)
			return nil
		}
		out[kind] = minutes / 60
	}
	return out
}
