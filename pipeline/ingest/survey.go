package ingest

import (
	"fmt"
	"iter"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// habit is how the cells of a column are written, worked out from all of them
// before any is read.
type habit struct {
	mark    quantity.Mark
	stored  grid.StoredAs // what the spreadsheet takes the column's numbers for
	percent bool          // plain numbers of a share are percent
	parts   bool          // plain numbers of a share are parts of one although the header says %
	middle  float64       // median of its numbers that are believed, NaN where it has few
	doubt   string        // the unit that its numbers seem to have, in words, where the header names none and they are not believed without
	minutes bool          // the numbers of a column of times are minutes after midnight
	order   quantity.DayOrder
	unclear int // dates whose day and month cannot be told apart by themselves
	shown   int // dates that show the order
}

// survey works out the habits of every used column of the block.
func (b *block) survey() {
	b.surveyFormats()
	var assumed []string
	for k := range b.columns {
		col := &b.columns[k]
		if !col.used {
			continue
		}
		decl := b.table.Columns[col.match.column]
		switch dim := quantity.DimensionOf(decl); {
		case decl.Kind == tables.KindDate:
			b.surveyDates(col)
		case decl.Kind == tables.KindClock:
			b.surveyClock(col)
		case dim != quantity.NoDimension && dim != quantity.Clock:
			b.surveyNumbers(col, decl)
			b.surveySize(col, decl)
			if (col.habit.stored == grid.AsNumber || col.habit.stored == grid.AsSomeTimes) && b.unitAssumed(col, decl) {
				assumed = append(assumed, fmt.Sprintf("%s in %s", col.header, decl.Unit))
			}
			if u := col.match.unit; dim == quantity.Mass && u.Given() {
				if _, byVolume := quantity.LookUnit(u.Name, quantity.Volume); byVolume {
					b.notes = append(b.notes, note{col.at, waterNote(col.header)})
				}
			}
		}
	}
	if len(assumed) > 0 {
		b.notes = append(b.notes, note{-1, tables.Problem{
			Code: CodeUnitAssumed, Severity: tables.Notice, Value: strings.Join(assumed, ", "),
			Message: "these columns name no unit; their plain numbers were read in the usual ones: " + list(assumed),
			Mend:    "write the unit in the header, for example Wall (mm)",
		}})
	}
}

// codes walks over the rows of the block that hold something in the column, those
// that hold the same most of the time once, with the code of what they hold.
func (b *block) codes(col *column) iter.Seq2[int, uint32] {
	return func(yield func(row int, code uint32) bool) {
		if b.sheet.Repeats(col.at) {
			for _, use := range b.firstsOf(col.at).uses {
				if !yield(use.row, use.code) {
					return
				}
			}
			return
		}
		for i := b.from; i < b.to; i++ {
			if code := b.sheet.Code(i, col.at); code != 0 && !yield(i, code) {
				return
			}
		}
	}
}

// each calls f with every text of the column in the block's rows, most of them
// once however often they stand there.
func (b *block) each(col *column, f func(text string)) {
	for i := range b.codes(col) {
		f(b.sheet.Cell(i, col.at))
	}
}

func (b *block) surveyNumbers(col *column, decl tables.Column) {
	commas, points, percent, plain, small := 0, 0, false, 0, 0
	limit := limitOf(b.table.Name, decl.Name)
	count := func(x float64) bool {
		percent = percent || x > limit.high && x <= 100*limit.high
		if plain++; x <= limit.high {
			small++
		}
		return true
	}
	if b.eachNumber(col, count) {
		if decl.Kind == tables.KindShare {
			b.settleShare(col, decl, percent, plain > 0 && small == plain)
		}
		return
	}
	b.each(col, func(text string) {
		if x, ok := quantity.Plain(text); ok {
			count(x)
		}
		switch quantity.MarkIn(quantity.FirstNumber(text)) {
		case quantity.MarkComma:
			commas++
		case quantity.MarkPoint:
			points++
		}
	})
	switch {
	case !b.sheet.Text && commas > 0:
		col.habit.mark = quantity.MarkBoth
	case !b.sheet.Text:
	case commas > 0 && points == 0, commas == 0 && points == 0 && b.sheet.Semicolons:
		col.habit.mark = quantity.MarkComma
	case points > 0 && commas == 0:
		col.habit.mark = quantity.MarkPoint
	}
	if decl.Kind == tables.KindShare && col.habit.stored != grid.AsPercent {
		b.settleShare(col, decl, percent, plain > 0 && small == plain)
	}
}

// settleShare decides whether the plain numbers of a share are percent. Without
// a word in the header they are, for the whole column, where some are too large
// for parts of one. With a percent sign there they are parts of one all the same
// where each would be far too small for percent: a spreadsheet shows 0.45 as 45 %.
func (b *block) settleShare(col *column, decl tables.Column, large, small bool) {
	h := &col.habit
	h.percent = large && !col.match.unit.Given()
	h.parts = small && col.match.unit.Name == "%"
	p := tables.Problem{Code: CodePercentInferred, Severity: tables.Notice, Value: col.header, Mend: "write % in the header or in the cells"}
	switch {
	case h.percent:
		p.Message = fmt.Sprintf("some numbers of %s are too large for a share of one, so all plain numbers of the column were read as percent", decl.Name)
	case h.parts:
		p.Message = fmt.Sprintf("the header of %s says percent, but its plain numbers are all so small that they were read as parts of one, as spreadsheets store percentages", decl.Name)
		p.Mend = "nothing to do if that is right; otherwise write the numbers with a % sign"
	default:
		return
	}
	b.notes = append(b.notes, note{col.at, p})
}

// surveyFormats finds what a spreadsheet takes the numbers of each column for.
func (b *block) surveyFormats() {
	if b.sheet.Styles == nil || b.from >= b.to || b.turned {
		return
	}
	last := min(b.to, b.from+grid.FormatDepth) - 1
	formats := b.sheet.Parts.Formats(b.sheet.Number(b.from), b.sheet.Number(last), b.sheet.Styles)
	for k := range b.columns {
		b.columns[k].habit.stored = formats[b.columns[k].at]
	}
}

// unitAssumed reports whether plain numbers stand in a column that has a unit
// but whose header names none.
func (b *block) unitAssumed(col *column, decl tables.Column) bool {
	if decl.Unit == "" || decl.Kind == tables.KindCount || col.match.unit.Given() || quantity.DimensionOf(decl) == quantity.PerDay || quantity.DimensionOf(decl) == quantity.PerMass {
		return false
	}
	if strings.HasSuffix(decl.Name, "_hours") && col.match.exact {
		return false
	}
	plain := false
	if b.eachNumber(col, func(float64) bool { plain = true; return false }) {
		return plain
	}
	b.each(col, func(text string) {
		if !plain {
			_, plain = quantity.Plain(text)
		}
	})
	return plain
}

func (b *block) surveyDates(col *column) {
	if k := b.sheet.Kind(col.at); k == grid.IsDay || k == grid.IsMoment {
		return
	}
	cal := quantity.Calendar{Date1904: b.sheet.Date1904}
	days, months := 0, 0
	b.each(col, func(text string) {
		whole, _ := b.month.complete(text)
		d, err := quantity.ParseDay(whole, cal)
		switch {
		case err == quantity.ErrAmbiguous:
			col.habit.unclear++
		case err == nil && d.Shows == quantity.DayFirst:
			days++
		case err == nil && d.Shows == quantity.MonthFirst:
			months++
		}
	})
	stated := col.match.order
	col.habit.shown = days + months
	switch {
	case days > 0 && (months > 0 || stated == quantity.MonthFirst), months > 0 && stated == quantity.DayFirst:
		col.habit.order = quantity.OrderMixed
	case days > 0:
		col.habit.order = quantity.DayFirst
	case months > 0:
		col.habit.order = quantity.MonthFirst
	default:
		col.habit.order = stated
	}
}

// settleDates decides the order of day and month for the columns of a file in
// which it is not shown, and says what was decided and why.
func settleDates(blocks []*block, chosen quantity.DayOrder) {
	borrowed := quantity.OrderUnknown
	for _, b := range blocks {
		for _, col := range b.columns {
			switch o := col.habit.order; {
			case o == quantity.OrderUnknown || borrowed == o:
			case borrowed == quantity.OrderUnknown:
				borrowed = o
			default:
				borrowed = quantity.OrderMixed
			}
		}
	}
	for _, b := range blocks {
		for k := range b.columns {
			if col := &b.columns[k]; col.habit.unclear > 0 {
				b.settleColumn(col, borrowed, chosen)
			}
		}
	}
}

func (b *block) settleColumn(col *column, borrowed, chosen quantity.DayOrder) {
	h := &col.habit
	p := tables.Problem{Code: CodeDateOrder, Severity: tables.Notice, Value: col.header, Mend: "nothing to do if that is right; dates written as 2025-03-14 need no guess"}
	switch {
	case h.order == quantity.OrderMixed && chosen == quantity.OrderUnknown:
		p.Code = CodeDateOrderMixed
		p.Message = "some dates of the column have the day first and others the month, so that those like 3/4/2025 cannot be read"
		p.Mend = "write the dates as 2025-03-14, or format the column as dates"
	case h.order != quantity.OrderUnknown && h.order != quantity.OrderMixed && h.shown > 0:
		p.Message = fmt.Sprintf("dates like 3/4/2025 were read with the %s, as other dates of the column can only be", h.order)
	case h.order != quantity.OrderUnknown && h.order != quantity.OrderMixed:
		return // the header says it
	case chosen != quantity.OrderUnknown:
		h.order = chosen
		p.Message = fmt.Sprintf("dates like 3/4/2025 were read with the %s, as chosen for this run", h.order)
	case borrowed == quantity.DayFirst || borrowed == quantity.MonthFirst:
		h.order = borrowed
		p.Code = CodeDateOrderBorrowed
		p.Message = fmt.Sprintf("dates like 3/4/2025 were read with the %s, as other columns of the file are written", h.order)
	default:
		p.Code = CodeDateOrderUnknown
		p.Message = "is 3/4/2025 in March or in April? No date of the column shows whether day or month comes first, so that none is read"
		p.Mend = "write (dd/mm/yyyy) or (mm/dd/yyyy) in the header, choose it for the run with --dates, or write the dates as 2025-03-14"
	}
	b.notes = append(b.notes, note{col.at, p})
}

func waterNote(header string) tables.Problem {
	return tables.Problem{
		Code: CodeWaterByVolume, Severity: tables.Notice, Value: header,
		Message: "water was measured by volume; it was turned into kilograms with 0.998 kg to the litre, as at 20 °C",
		Mend:    "nothing to do; weighed water is more exact",
	}
}
