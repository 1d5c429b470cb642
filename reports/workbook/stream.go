package workbook

import (
	"fmt"

	"github.com/xuri/excelize/v2"
)

// cells are those of a sheet until it is closed. The library's stream takes rows one
// after the other and never goes back, while widths of columns and the link row are
// known in full at the end only. Without a stream the library takes ten times as long
// for a cell.
type cells struct {
	rows   []cellRow
	merged [][2]string // first and last cell
	drawn  []drawn     // by column: the last look and its style
}

// cellRow is a row of a sheet.
type cellRow struct {
	number int
	height float64 // in points, 0 for the usual one
	cells  []any   // of *excelize.Cell, nil where there is none
}

// drawn is a look and the number of its style.
type drawn struct {
	look  look
	style int
}

// cellOf is a value as the library takes it. A formula comes with what it gives:
// readers that don't calculate would see an empty cell without it.
func cellOf(style int, v value) excelize.Cell {
	c := excelize.Cell{StyleID: style, Formula: v.formula}
	switch v.is {
	case isText:
		c.Value = v.text
	case isNumber:
		c.Value = v.number
	}
	return c
}

// add adds a row.
func (c *cells) add(number int, height float64, of []excelize.Cell) {
	r := cellRow{number, height, make([]any, len(of))}
	for i := range of {
		r.cells[i] = &of[i]
	}
	c.rows = append(c.rows, r)
}

// addTo adds a cell to a row that is there, right of its others.
func (c *cells) addTo(row, col int, cell excelize.Cell) {
	for i := range c.rows {
		if r := &c.rows[i]; r.number == row {
			gap := make([]any, max(0, col-1-len(r.cells)))
			r.cells = append(append(r.cells, gap...), &cell)
			return
		}
	}
}

// stream hands the sheet to the library, which writes all else that it was told of it,
// and knows it no more afterwards.
func (s *sheet) stream() error {
	if err := s.b.file.SetSheetDimension(s.name, "A1:"+ref(s.lastCol, s.lastRow)); err != nil {
		return err
	}
	w, err := s.b.file.NewStreamWriter(s.name)
	if err != nil {
		return err
	}
	if err := s.columns(w); err != nil {
		return err
	}
	for _, r := range s.cells.rows {
		if err := w.SetRow(ref(1, r.number), r.cells, excelize.RowOpts{Height: r.height}); err != nil {
			return fmt.Errorf("row %d of sheet %q: %w", r.number, s.name, err)
		}
	}
	for _, m := range s.cells.merged {
		if err := w.MergeCell(m[0], m[1]); err != nil {
			return err
		}
	}
	s.cells.rows = nil
	return w.Flush()
}

// columns sets widths and folds columns away, from the last column to the first: the
// library puts what is set last before all else, and programs want columns in order.
func (s *sheet) columns(w *excelize.StreamWriter) error {
	last, shown := len(s.widths), len(s.shownWidths())
	if shown < last {
		if err := w.SetColVisible(shown+1, last, false); err != nil {
			return err
		}
	}
	for col := last; col > shown; col-- {
		if err := w.SetColOutlineLevel(col, 1); err != nil {
			return err
		}
	}
	for to, from := last, last; to > 0; to = from {
		for from > 0 && s.widths[from-1] == s.widths[to-1] { // in one, since each call parts all columns anew
			from--
		}
		if err := w.SetColWidth(from+1, to, s.widths[to-1]); err != nil {
			return err
		}
	}
	return nil
}
