package page

import (
	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// daysShown is how many days of casting the page shows: two weeks of five days.
// The workbook has them all.
const daysShown = 10

// daysSection is the day sheet of the next days.
func daysSection(res pipeline.Result) section {
	s := section{ID: "days", Title: "Day sheet", Class: "sheet"}
	if len(res.Plan.Days) == 0 {
		return s.leftOut(res, res.Plan.WhyNot, "No cast can be made in time")
	}
	s.text("Fill the molds of a day in this order. “Spare” casts are made only if earlier ones failed. To print with room to write, and to fill in as a log: sheet “Day sheet” of the workbook.")
	if res.Plan.NewOnDays() {
		s.text("A mold called “new …” is one that the plan has you pour first; it stands here from the day by which nine of ten are dry.")
	}
	t := table{Caption: "What to cast, day by day", Head: append(append(words("Day", "Mold|form"), numbers("Its cast|number", "Leave in|minutes", "Range|nine casts of ten", "Aim")...), words("For order")...), Class: "flow"}
	last, days := tables.NoDate, 0
	for _, d := range res.Plan.Days {
		r := dayRow(d, res.Settings)
		if d.Date != last {
			last, r.Class = d.Date, "begins"
			if days++; days > daysShown {
				break
			}
		}
		t.Rows = append(t.Rows, r)
	}
	s.table(t)
	if days > daysShown {
		s.small("These are the first %d days of casting; all days stand in the workbook and in tables/plan_days.csv.", daysShown)
	}
	return s
}

func dayRow(d tables.PlanDay, set pipeline.Settings) row {
	minutes, between := "as usual", dash
	if tables.Has(d.DwellMin) {
		minutes = number(format.Dwell(d.DwellMin))
		between = format.Interval(number(format.Dwell(d.DwellLower90)), number(format.Dwell(d.DwellUpper90)))
	}
	order := count(d.Order)
	if d.Spare {
		order = "spare"
	}
	return row{Cells: []cell{
		of(set.Days.Weekday(d.Date)), of(d.Mold, d.Form), of(count(d.CastNumber)), of(minutes), of(between), of(set.Units.Wall(d.TargetWallMM)), of(order),
	}}
}

// mixSection says what to mix for the new molds.
func mixSection(res pipeline.Result) section {
	s := section{ID: "mix", Title: "What to mix and pour for the orders"}
	if len(res.Plan.Mix) == 0 {
		s.text("None: %s", noMix(res))
		return s
	}
	s.text("Weigh plaster and water for one mold at a time. Respirator or extraction on, no hand in setting plaster, no plaster down the drain: see the cautions above.")
	t := table{
		Caption: "What to mix",
		Head:    append(words("Mold to make"), numbers("How many", "Pour by", "Plaster|for one", "Water|for one", "Batches|for one", "Ready by|nine of ten", "Chance that one fails", "Casts it makes|middle forecast", "Cost of one")...),
	}
	for _, m := range res.Plan.Mix {
		t.Rows = append(t.Rows, cells(joined(m.Form, m.Kind), count(m.Molds), res.Settings.Days.Day(m.PourBy), res.Settings.Units.Weighed(m.PlasterEach), res.Settings.Units.Weighed(m.WaterEach), batches(m.PoursEach),
			res.Settings.Days.Day(m.ReadyBy), format.Percent(m.ChanceFailed), format.Fixed(m.LifeP50, 0), format.Money(m.CostEach)))
	}
	s.table(t)
	return s
}

func noMix(res pipeline.Result) string {
	if len(res.Plan.Orders) == 0 {
		return "there is no plan."
	}
	return "the orders need none, or none would be dry in time."
}

func batches(n float64) string {
	if n == float64(int(n)) {
		return format.Fixed(n, 0)
	}
	return format.Fixed(n, 1)
}
