package plaster

import "moldwright/pipeline/tables"

// problemList collects problems with the place of the cell they speak of.
type problemList struct {
	blocks tables.Blocks
	rows   []tables.Problem
}

// add enters p for a declared column of the row read at o.
func (l *problemList) add(o tables.Origin, column string, p tables.Problem) {
	p.File, p.Sheet, p.Cell = l.blocks.Place(o, column)
	l.rows = append(l.rows, p)
}
