// Package quantity reads what people write into the cells of a spreadsheet:
// numbers with their units, lengths of time, times of day and dates. It knows
// units and calendars and no table; what it cannot read is an error, never a
// guess.
package quantity
