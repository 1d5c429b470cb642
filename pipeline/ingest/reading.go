// Package ingest reads spreadsheets: it finds the tables on their sheets,
// matches columns, parses cells with their units, and keeps for every value the
// file, sheet and cell it came from. What it cannot use becomes a problem.
package ingest

import (
	"time"

	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// Reading is the account of what was read: rows read = used + set aside + not data.
type Reading struct {
	Files []File
}

// File is one input file.
type File struct {
	Name   string // as shown in outputs: relative to what the user named
	Path   string // where it was read
	SHA256 string
	Bytes  int64
	Sheets []Sheet
	// Unreadable says in plain words why the file could not be read, "" where it could.
	Unreadable string
	// Skipped says why a readable file was not read: it is the same as another,
	// or not a log at all; "" where it was.
	Skipped string
}

// Sheet is one sheet of a file, or the whole of a CSV file.
type Sheet struct {
	Name       string // "" for CSV
	Hidden     bool
	Table      string               // input table it was taken for, "" where not recognised; several one below the other: "casts, gaps"
	HeaderRow  int                  // of the first table, 0 where none was found
	Columns    []tables.BlockColumn // of the first table; tables.Blocks has those of all
	RowsRead   int                  // rows with any content
	RowsUsed   int
	RowsAside  int // set aside, each with a problem
	RowsNoData int // header, titles, blank or not part of a table
	// Why says why the sheet was not recognised, "" where it was.
	Why string
	// Tables are the tables that were found on the sheet.
	Tables []TableRead
	// Mapped says that a mapping file settled what the sheet holds.
	Mapped bool
	// Headers are, on a sheet that was not recognised, the cells of the row that
	// looks most like a header, each with the column that it might stand for.
	Headers []tables.BlockColumn
	// Near is the table that such a sheet came closest to, "" for none.
	Near string
}

// TableRead is one table of a sheet.
type TableRead struct {
	Table     string
	HeaderRow int
	Columns   []tables.BlockColumn
	RowsUsed  int
	RowsAside int
	RowsNone  int // rows without a record of the table: blank, totals, the header again
}

// Rows sums the rows of all sheets.
func (r Reading) Rows() (read, used, aside, noData int) {
	for _, f := range r.Files {
		for _, s := range f.Sheets {
			read += s.RowsRead
			used += s.RowsUsed
			aside += s.RowsAside
			noData += s.RowsNoData
		}
	}
	return read, used, aside, noData
}

// Options of a reading.
type Options struct {
	// Today is the day after which a date is questioned as lying in the future;
	// the zero time switches the question off, so that a report does not depend
	// on the clock.
	Today time.Time
	// DateOrder says how to read dates like 3/4/2025 where their column does not
	// show it.
	DateOrder DateOrder
	// Mapping settles what the names of sheets and columns do not tell; nil for
	// none.
	Mapping *mapping.Mapping
	// Progress is told what is being read; nil for silence.
	Progress func(what string)

	streamFrom int64 // size from which text files are read piece by piece, 0 for the usual
	rowByRow   bool  // casts are read one by one and not by the codes of their cells
}

// DateOrder is which of day and month comes first in dates like 3/4/2025.
type DateOrder string

// Orders of dates. The zero value asks: dates that are unclear are not read,
// and a problem says so.
const (
	AskDateOrder DateOrder = ""
	DayFirst     DateOrder = "day-first"
	MonthFirst   DateOrder = "month-first"
)

func (o DateOrder) order() quantity.DayOrder {
	switch o {
	case DayFirst:
		return quantity.DayFirst
	case MonthFirst:
		return quantity.MonthFirst
	}
	return quantity.OrderUnknown
}
