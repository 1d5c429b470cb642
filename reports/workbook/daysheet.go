package workbook

import (
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// Headings of the day sheet that are filled in by hand. The reader of logs knows
// them, and none of the printed ones but mold and form: a line counts as a cast
// once a day stands under castOn.
const (
	castOn      = "Cast on"
	dwellUsed   = "Dwell (min)"
	wallFound   = "Wall" // and its unit
	resultFound = "Result"
	noteTaken   = "Note"
)

// daySheet is laid out for the wall: a block a day, a line a cast, with room to
// write. Filled in, it is read back as a log of casts.
func (b *book) daySheet() {
	rows := b.res.Plan.Days
	if len(rows) == 0 {
		return
	}
	in := b.written()
	back := "Type the filled lines into your log, or copy this sheet into a workbook among your logs: it is read as it is."
	if b.home == planSheet {
		back = "Filled in, this workbook can lie among your logs: the sheet is read as it is."
	}
	p := page{
		name: daySheet, title: "Day sheet: what to cast, day by day", wide: true,
		note: "Fill the molds of a day in this order and leave the slip in for the big number of minutes. Nine casts of ten need a dwell within the range beside it. " +
			"“Its cast” counts the casts of the mold's life. Spare casts are made only if earlier ones failed. " +
			"Write day, dwell, wall and result behind each cast that you made, and nothing behind one that you left out: only lines with a day under “" + castOn + "” count as casts. " + back,
	}
	if b.res.Plan.NewOnDays() {
		p.note += " A mold called “new …” is one that the plan has you pour first, from the day by which nine of ten are dry: write the name that you give it over the printed one."
	}
	if !b.res.Wall.Fitted {
		p.lead = "The dwells are not from your own log: " + b.res.Wall.WhyNot
	}
	s, a := openTable(b, p, table[tables.PlanDay]{
		name: "plan_days_table", full: "tables/plan_days.csv", columns: dayColumns(in), rows: rows,
		blocks: blocks[tables.PlanDay]{
			least: 27, parts: func(x, y tables.PlanDay) bool { return x.Date != y.Date },
			cells: dressDay(in),
		},
	})
	s.askResult(a)
	s.close()
}

const (
	plannedFor = "Planned"
	leaveIn    = "Leave in (min)"
)

func dayColumns(in written) []column[tables.PlanDay] {
	type row = tables.PlanDay
	blank := func(row) value { return value{} }
	return []column[row]{
		{head: plannedFor, size: 13, value: func(r row) value { return in.weekday(r.Date) }},
		{head: "Mold", size: 16, most: 26, value: func(r row) value { return words(r.Mold) }},
		{head: "Form", most: 18, value: func(r row) value { return words(r.Form) }},
		{head: "Filling", value: func(r row) value { return filling123(r.OfDay) }},
		{head: "Its cast", size: 13, value: func(r row) value { return count(r.CastNumber) }},
		{head: leaveIn, size: 20, value: func(r row) value {
			if !known(r.DwellMin) {
				return words("as usual")
			}
			return dwellMin(r.DwellMin)
		}},
		{head: "Range", size: 12, value: func(r row) value { return span(dwellMin(r.DwellLower90), dwellMin(r.DwellUpper90)) }},
		{head: "Aim", size: 12, value: func(r row) value { return in.wall(r.TargetWallMM).marked(" " + in.units.Length().Name) }},
		{head: "Order", value: func(r row) value {
			if r.Spare {
				return words("spare")
			}
			return count(r.Order)
		}},
		{head: castOn, size: 13, value: blank},
		{head: dwellUsed, value: blank},
		{head: in.ofLength(wallFound), value: blank},
		{head: resultFound, value: blank},
		{head: noteTaken, value: blank},
	}
}

// roomToWrite are the widths of the columns that are filled in by hand.
func (w written) roomToWrite() map[string]float64 {
	return map[string]float64{castOn: 13, dwellUsed: 11, w.ofLength(wallFound): 11, resultFound: 12, noteTaken: 22}
}

// dressDay makes what matters stand out, and boxes of what is written by hand.
func dressDay(in written) func(r tables.PlanDay, looks []look) {
	columns, room := dayColumns(in), in.roomToWrite()
	return func(r tables.PlanDay, looks []look) {
		for j, c := range columns {
			l := &looks[j]
			l.boxed = room[c.head] > 0
			switch c.head {
			case castOn:
				l.code = in.days.Code()
			case plannedFor:
				l.across, l.indent = "left", 1
			case "Order":
				l.across, l.indent = "center", 0
			case "Mold", leaveIn:
				l.bold = !r.Spare
			}
			if r.Spare {
				l.ink = faint
			}
			if c.head == leaveIn && !known(r.DwellMin) {
				l.size = 12
			}
		}
	}
}

// askResult offers the words that a result may have, and makes room to write.
func (s *sheet) askResult(a area) {
	for j, head := range a.heads {
		if w := s.b.written().roomToWrite()[head]; w > 0 {
			s.widths[j] = w
		}
	}
	col := a.column(resultFound)
	v := excelize.NewDataValidation(true)
	v.SetSqref(ref(col, a.first()) + ":" + ref(col, a.last()))
	s.b.fail(v.SetDropList([]string{"good", "second", "reject"}))
	v.SetError(excelize.DataValidationErrorStyleWarning, "Result", "good, second or reject")
	s.b.fail(s.b.file.AddDataValidation(s.name, v))
}

// filling123 writes which filling of the mold on that day it is.
func filling123(n tables.Count) value {
	if n == tables.NoCount || n < 1 {
		return value{}
	}
	return words(ordinal(int(n)))
}
