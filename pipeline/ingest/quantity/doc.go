// Package quantity reads what people write into the cells of a spreadsheet:
// numbers with their units, lengths of time, times of day and dates. It knows
// units and calendars and no table. What it cannot read is an error, never a
// guess; what it reads although it was written loosely (~6, 5–6, 22 rushed)
// says so.
package quantity
