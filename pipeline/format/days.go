package format

import "moldwright/pipeline/tables"

// Days is the form in which a report writes days. Months are named, so that no
// day reads as another one. The zero value is ISO.
type Days string

const (
	ISO      Days = "iso"       // 2025-03-04
	DayMonth Days = "day-month" // 4 Mar 2025
	MonthDay Days = "month-day" // Mar 4, 2025
)

// Day writes a day, or the dash.
func (d Days) Day(day tables.Date) string { return d.written(day, d.layout()) }

// Weekday writes a day with its day of the week before it, or the dash.
func (d Days) Weekday(day tables.Date) string { return d.written(day, "Mon "+d.layout()) }

func (d Days) written(day tables.Date, layout string) string {
	if !day.Valid() {
		return Dash
	}
	return day.Time().Format(layout)
}

func (d Days) layout() string {
	switch d {
	case DayMonth:
		return "2 Jan 2006"
	case MonthDay:
		return "Jan 2, 2006"
	}
	return "2006-01-02"
}

// Code is the number format of a cell that holds a day.
func (d Days) Code() string {
	switch d {
	case DayMonth:
		return "d mmm yyyy"
	case MonthDay:
		return `mmm d, yyyy`
	}
	return "yyyy-mm-dd"
}
