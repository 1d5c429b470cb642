package ingest

import "moldwright/pipeline/ingest/grid"

import "slices"

// fillMerged writes the value of cells that are merged downwards into the rows
// below the first, for the block's columns: a date merged over the casts of a day
// is the date of each. It returns the number of cells filled.
func (b *block) fillMerged(merged []grid.Span) int {
	filled := 0
	rows := b.sheet.Rows
	for _, m := range merged {
		if m.Bottom == m.Top || m.Right > grid.MaxColumns || !b.uses(m.Left) {
			continue
		}
		first, ok := slices.BinarySearchFunc(rows, m.Top, byNumber)
		if !ok || first < b.from || first >= b.to || rows[first].Cell(m.Left) == "" {
			continue
		}
		text := rows[first].Cells[m.Left]
		for i := first + 1; i < b.to && rows[i].Number <= m.Bottom; i++ {
			if rows[i].Cell(m.Left) != "" {
				continue
			}
			for len(rows[i].Cells) <= m.Left {
				rows[i].Cells = append(rows[i].Cells, "")
			}
			rows[i].Cells[m.Left] = text
			filled++
		}
	}
	return filled
}

func byNumber(r grid.Row, n int) int { return r.Number - n }

func (b *block) uses(at int) bool {
	return at < len(b.columns) && b.columns[at].used
}
