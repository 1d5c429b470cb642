package ingest

import (
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// dittoMarks stand alone in a cell for the value above it. A mark behind a
// number means inches and is none.
var dittoMarks = []string{`"`, "″", "“", "”", "„", "〃", "''", "´´", ",,", `-"-`, `- " -`, `-''-`, `-“-`, `-”-`, "do", "do.", "ditto", "idem", "id.", "dto", "dto.", "same"}

func isDitto(text string) bool {
	return len(text) <= 8 && text != "" && !(text[0] >= '0' && text[0] <= '9') && slices.Contains(dittoMarks, strings.ToLower(text))
}

// fillDitto writes the value above into the cells with a ditto mark, and tells
// so once for each column. A mark with nothing above stays as it is.
func (b *block) fillDitto() {
	for _, col := range b.columns {
		if !col.used || !b.hasDitto(col.at) {
			continue
		}
		above, filled := "", 0
		for i := b.from; i < b.to; i++ {
			text := b.sheet.Cell(i, col.at)
			switch {
			case isDitto(text) && above != "":
				b.sheet.Set(i, col.at, above)
				filled++
			case text != "" && !isDitto(text) && !b.skip[i] && !b.repeatsHeader(b.sheet.Row(i)):
				above = text
			}
		}
		if filled == 0 {
			continue
		}
		delete(b.firsts, col.at)
		b.notes = append(b.notes, note{col.at, tables.Problem{
			Code: CodeDittoRead, Severity: tables.Notice, Value: col.header,
			Message: fmt.Sprintf("ditto marks in %d cells of the column were read as the value above them", filled),
			Mend:    "nothing to do if that is right; a value in each cell is safer, since rows may be sorted",
		}})
	}
}

// hasDitto tells quickly whether a column has any mark.
func (b *block) hasDitto(at int) bool {
	if b.sheet.Kind(at) != grid.IsText {
		return false
	}
	for i := range b.codes(&column{at: at}) {
		if isDitto(b.sheet.Cell(i, at)) {
			return true
		}
	}
	return false
}
