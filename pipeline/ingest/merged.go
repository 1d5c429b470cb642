package ingest

import "moldwright/pipeline/ingest/grid"

// fillMerged writes the value of cells that are merged downwards into the rows
// below the first, for the block's columns: a date merged over the casts of a day
// is the date of each. It returns the number of cells filled.
func (b *block) fillMerged(merged []grid.Span) int {
	filled := 0
	s := b.sheet
	for _, m := range merged {
		if m.Bottom == m.Top || m.Right > grid.MaxColumns || !b.uses(m.Left) {
			continue
		}
		first, ok := s.Find(m.Top)
		if !ok || first < b.from || first >= b.to || s.Cell(first, m.Left) == "" {
			continue
		}
		text := s.Cell(first, m.Left)
		for i := first + 1; i < b.to && s.Number(i) <= m.Bottom; i++ {
			if s.Cell(i, m.Left) == "" {
				s.Set(i, m.Left, text)
				filled++
			}
		}
	}
	return filled
}

func (b *block) uses(at int) bool {
	return at < len(b.columns) && b.columns[at].used
}
