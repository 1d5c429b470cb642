package ingest

import (
	"slices"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// plannedHeader is the heading of the days on a day sheet, on which a plan prints
// the casts to come with blank cells for what is then measured.
const plannedHeader = "planned"

// isDaySheet reports whether the block is one of casts with planned days.
func (b *block) isDaySheet() bool {
	return b.table.Name == tables.Of[tables.Cast]().Name && slices.ContainsFunc(b.columns, func(c column) bool {
		return !c.used && strings.EqualFold(strings.TrimSpace(c.header), plannedHeader)
	})
}

// planned reports whether a row is a line of a day sheet whose cast was not
// made: a sheet of casts with planned days, and nothing written into the line.
func (b *block) planned(row grid.Row) bool {
	if !b.daySheet {
		return false
	}
	for i, decl := range b.table.Columns {
		if decl.Name == "mold" || decl.Name == "form" {
			continue // printed
		}
		for _, k := range b.byDecl[i] {
			if !isNothing(row.Cell(b.columns[k].at), decl.Kind) {
				return false
			}
		}
	}
	b.noteOnce(-1, tables.Problem{
		Code: CodeNotCast, Severity: tables.Notice,
		Message: "lines of a day sheet with nothing written into them are casts that were not made; they are no data",
		Mend:    "nothing to do",
	})
	return true
}
