package ingest

import (
	"math"
	"slices"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// readTyped reads a value of a file that knows its types. A day in a column of
// dates, a number in a column of lengths and the like go in as they are; all
// others are read as a person would write them.
func (b *block) readTyped(col *column, v grid.Value, row grid.Row) (value, *fault) {
	decl := b.table.Columns[col.match.column]
	switch {
	case decl.Kind == tables.KindDate && (v.Kind == grid.IsDay || v.Kind == grid.IsMoment):
		return typedDay(v)
	case decl.Kind == tables.KindClock && (v.Kind == grid.IsClock || v.Kind == grid.IsMoment):
		minutes := v.Number
		if v.Kind == grid.IsMoment {
			_, minutes = dayAndMinute(v.Number)
		}
		if limitOf(b.table.Name, decl.Name).holds(minutes) {
			return value{has: true, num: minutes, day: tables.NoDate}, nil
		}
	case decl.Kind == tables.KindClock && v.Kind == grid.IsNumber && col.habit.minutes && limitOf(b.table.Name, decl.Name).holds(v.Number):
		return value{has: true, num: v.Number, day: tables.NoDate}, nil
	case quantity.DimensionOf(decl) == quantity.Duration && decl.Kind != tables.KindClock && (v.Kind == grid.IsSpan || v.Kind == grid.IsClock):
		minute, _ := quantity.LookUnit("min", quantity.Duration)
		return b.settleNumber(col, decl, quantity.Quantity{Base: minute.Base(v.Number), Written: tables.Absent(), By: quantity.Duration})
	case v.Kind == grid.IsNumber && isMeasured(decl) && !math.IsInf(v.Number, 0):
		def := quantity.Standing(decl)
		if col.match.unit.Given() {
			def = col.match.unit
		}
		return b.settleNumber(col, decl, quantity.Quantity{Base: def.Base(v.Number), Written: v.Number, Plain: true, By: def.Dim})
	}
	return b.read(col, row.Cell(col.at))
}

// isMeasured reports whether a column holds numbers of some dimension.
func isMeasured(decl tables.Column) bool {
	switch decl.Kind {
	case tables.KindDate, tables.KindClock, tables.KindID, tables.KindText, tables.KindChoice, "":
		return false
	}
	return true
}

func typedDay(v grid.Value) (value, *fault) {
	out := absent()
	day, minutes := v.Number, tables.Absent()
	if v.Kind == grid.IsMoment {
		day, minutes = dayAndMinute(v.Number)
	}
	if !(day >= float64(earliestDay) && day <= float64(latestDay)) {
		return out, &fault{CodeOutOfRange, "the date is not plausible", "correct the date"}
	}
	out.day, out.num, out.has = tables.Date(day), minutes, true
	return out, nil
}

// dayAndMinute parts a moment, in seconds since 1970.
func dayAndMinute(seconds float64) (day, minute float64) {
	day = math.Floor(seconds / 86400)
	return day, (seconds - 86400*day) / 60
}

// eachNumber calls f with the numbers of a typed column in the block's rows, most
// of them once, until f is false. It reports whether the column is one of numbers.
func (b *block) eachNumber(col *column, f func(x float64) bool) bool {
	if b.sheet.Kind(col.at) != grid.IsNumber {
		return false
	}
	for _, code := range b.codes(col) {
		if !f(b.sheet.Value(col.at, code).Number) {
			break
		}
	}
	return true
}

// surveyClock finds whether the numbers of a column of times are minutes after
// midnight: the file says so, or they are none of a spreadsheet's fractions of a
// day and cannot all be hours and minutes such as 1430.
func (b *block) surveyClock(col *column) {
	minutes, other := b.sheet.Unit(col.at) == "min", false
	b.eachNumber(col, func(x float64) bool {
		switch {
		case x > 0 && x < 1, x > 1440, x < 0:
			other = true
		case x != math.Trunc(x), math.Mod(x, 100) >= 60:
			minutes = true
		}
		return !other
	})
	col.habit.minutes = minutes && !other
}

// namesClock reports whether a name is that of a time of day: with its unit it
// would be the name of a length of time.
func namesClock(name string) bool {
	return slices.ContainsFunc(tables.Inputs(), func(t tables.Table) bool {
		c, ok := t.Column(name)
		return ok && c.Kind == tables.KindClock
	})
}

// headed finds the table of a file that knows its columns: their names are the
// one header.
func (f *finder) headed() recognised {
	l := f.oneLine(0, 0)
	for at, texts := range l.texts {
		if unit := f.sheet.Unit(at); unit != "" && len(texts) == 1 && !namesClock(texts[0]) {
			l.texts[at] = []string{texts[0] + " (" + unit + ")", texts[0]}
		}
	}
	best, near := f.understand(l, 0, f.sheet.Width(), true)
	if best.score == 0 {
		return recognised{why: whyNot(f.sheet, near), near: near, rule: f.hints.rule}
	}
	var blocks []*block
	for _, c := range best.parts {
		blocks = append(blocks, f.newBlock(c))
	}
	return recognised{blocks: blocks, rule: f.hints.rule}
}
