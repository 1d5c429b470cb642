package workbook

import (
	"strings"

	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/advice"
)

// about names a row of a sheet as advice does.
type about struct{ sheet, name string }

// place is the cell with the chief figure of a row.
type place struct {
	sheet, cell string
	value       value
}

// placed keeps where the rows of a table stand that advice may be about.
func placed[R any](b *book, a area, t table[R]) {
	if t.about == nil {
		return
	}
	for i, r := range t.rows {
		head := t.figure(r)
		col := a.column(head)
		if col == 0 {
			continue
		}
		key := about{a.sheet, t.about(r)}
		if _, taken := b.places[key]; taken {
			continue // the first table of a sheet answers
		}
		v := t.columns[col-1].value(r)
		v.formula = ""
		b.places[key] = place{sheet: a.sheet, cell: ref(col, a.first()+i), value: v.withUnit(head)}
	}
}

// withUnit writes the unit of a column's header into a cell that stands outside
// of the column.
func (v value) withUnit(head string) value {
	if head == leftMiddle {
		return v.marked(" casts")
	}
	if i := strings.LastIndex(head, "("); i >= 0 && strings.HasSuffix(head, ")") {
		return v.marked(" " + head[i+1:len(head)-1])
	}
	return v
}

// behind is where the figure of a piece of advice stands: the cell, or else the
// top of its sheet; ok is false where the sheet was not written.
func (b *book) behind(it advice.Item) (p place, ok bool) {
	for _, sheet := range []string{it.Sheet, planSheet} { // the day sheet has no chances: those stand in the run plan
		if p, ok := b.places[about{sheet, it.About}]; ok && it.About != "" {
			return p, true
		}
		if sheet != daySheet {
			break
		}
	}
	return top(it.Sheet), b.has(it.Sheet)
}

// top is the top of a sheet.
func top(sheet string) place { return place{sheet: sheet, cell: ref(1, 1)} }

// leadTo makes a cell a link to a place in the workbook.
func (s *sheet) leadTo(col, row int, p place) {
	s.b.fail(s.b.file.SetCellHyperLink(s.name, ref(col, row), "'"+p.sheet+"'!"+p.cell, "Location"))
}

// refs writes the cells of a row into a formula in place of the names of their
// columns.
func (a area) refs() func(formula string, row int) string {
	const here = "\x00"
	var pairs []string
	for i, head := range a.heads {
		name, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			panic("workbook: a table with too many columns")
		}
		pairs = append(pairs, "{"+head+"}", "$"+name+here)
	}
	names := strings.NewReplacer(pairs...)
	return func(formula string, row int) string {
		return strings.ReplaceAll(names.Replace(formula), here, number(row))
	}
}
