package page

import (
	"fmt"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
)

// Groups of the waste_by table that the page shows; the workbook has them all.
const (
	groupAll   = "all"
	groupCause = "cause"
	groupClass = "class"
)

// plasterSection says where the plaster went and what to order.
func plasterSection(res pipeline.Result, figs []figure) section {
	s := section{ID: "plaster", Title: "Plaster"}
	a := res.Plaster
	if len(a.Pours) == 0 {
		s = s.leftOut(res, a.WhyNot, "No pour is on file")
		s.figures(figs)
		return s
	}
	for _, g := range a.By {
		if g.Group == groupAll {
			s.text("%s", overall(g, a.Priced))
		}
	}
	if !a.Priced {
		s.text("Costs are not given: there is no price of plaster on file.")
	}
	order, others := take(figs, chartBudget)
	s.heading("Where it went")
	s.figures(others)
	s.table(wasteBy(a, groupCause, "Waste by cause", "Cause"))
	s.table(wasteBy(a, groupClass, "Waste by class", "Class"))
	s.small("By maker, form, kind of mold and month: sheet “Waste” of report.xlsx, or tables/waste_by.csv.")
	s.heading("Pour by pour")
	s.table(poursTable(a))
	s.small("Needed: what the measured gaps call for. Unexplained: waste that no weighed part explains; below zero where more is accounted for than was mixed.")
	overmix(&s, a)
	budget(&s, a, order)
	cuts(&s, res)
	if len(a.Notes) > 0 {
		s.heading("What these figures assume")
		s.list(sentences(a.Notes))
	}
	return s
}

func overall(g tables.WasteBy, priced bool) string {
	text := fmt.Sprintf("%s took %s of dry plaster", plural(int(g.Pours), "pour", "pours"), format.Mass(g.PlasterKg))
	if !tables.Has(g.WasteKg) {
		return text + "; how much of it is in no usable mold is not known."
	}
	text += fmt.Sprintf("; %s is in no usable mold: %s of the plaster of those pours whose waste is known.", format.Mass(g.WasteKg), format.Percent(g.WasteShare))
	if cost := format.Money(g.Cost); priced && cost != dash {
		text += fmt.Sprintf(" That cost %s, in the currency of the price list.", cost)
	}
	return text
}

func wasteBy(a plaster.Answer, group, caption, what string) table {
	t := table{Caption: caption, Head: append(words(what), numbers("Pours", "Plaster mixed", "Waste", "Waste share", "Cost of the waste", "Plaster cost|a good piece")...)}
	for _, g := range a.By {
		if g.Group == group {
			t.Rows = append(t.Rows, cells(g.Value, count(g.Pours), format.Mass(g.PlasterKg), format.Mass(g.WasteKg), format.Percent(g.WasteShare),
				format.Money(g.Cost), format.Money(g.CostPerGoodCast)))
		}
	}
	return t
}

func poursTable(a plaster.Answer) table {
	t := table{
		Caption: "Each pour, as dry plaster",
		Head: append(append(words("Pour|class · maker", "Day"), numbers("Mixed", "Needed", "In a mold", "Waste|80 % interval", "Unexplained", "Water to plaster|parts in 100", "Cost of the waste")...),
			words("Main cause")...),
	}
	for _, p := range a.Pours {
		t.Rows = append(t.Rows, row{Cells: []cell{
			of(p.Pour, joined(p.Class, p.Maker)), of(format.Day(p.Date)), of(format.Mass(p.PlasterKg)), of(format.Mass(p.NeededKg)), of(format.Mass(p.InMoldKg)),
			of(format.Mass(p.WasteKg), format.Interval(format.Mass(p.WasteLower80), format.Mass(p.WasteUpper80))),
			of(format.Mass(p.UnexplainedKg)), of(format.Fixed(p.Consistency, 0)), of(format.Money(p.Cost)), of(p.MainCause),
		}})
	}
	return t
}

func overmix(s *section, a plaster.Answer) {
	if len(a.Overmix) == 0 {
		return
	}
	s.heading("How much more to mix")
	t := table{
		Caption: "Advised over-mix by form: a short pour loses the mold, a spare kilo only its price",
		Head:    append(words("Form"), numbers("Mix more than the gaps call for", "Chance of a short pour all the same", "Error of estimates|standard deviation")...),
	}
	for _, o := range a.Overmix {
		t.Rows = append(t.Rows, cells(o.Form, format.Percent(o.AdvisedOvermixShare), format.Percent(o.ChanceShort), format.Percent(o.EstimateErrorSD)))
	}
	s.table(t)
}

func budget(s *section, a plaster.Answer, figs []figure) {
	if len(a.Budget) == 0 && len(a.Savings) == 0 && len(figs) == 0 {
		return
	}
	s.heading("Plaster to order")
	s.figures(figs)
	t := table{
		Caption: fmt.Sprintf("Plaster for the coming period, and bags of %s", format.Mass(a.BagKg)),
		Head:    append(words("Class", "Period"), numbers("Plaster|middle forecast, 80 % interval", "Bags to buy|enough in nine terms of ten", "Cost|of the middle forecast")...),
	}
	if !tables.Has(a.BagKg) || a.BagKg <= 0 {
		t.Caption = "Plaster for the coming period"
	}
	for _, b := range a.Budget {
		t.Rows = append(t.Rows, row{Cells: []cell{
			of(b.Class), of(b.Period), of(format.Mass(b.PlasterKgP50), format.Interval(format.Mass(b.PlasterKgP10), format.Mass(b.PlasterKgP90))),
			of(count(b.Bags)), of(format.Money(b.CostP50)),
		}})
	}
	s.table(t)
	save := table{Caption: "What a change would save in that period", Head: append(words("Change"), numbers("Plaster saved", "Cost saved")...)}
	for _, v := range a.Savings {
		save.Rows = append(save.Rows, cells(sentenceStart(v.Change), format.Mass(v.PlasterKg), format.Money(v.Cost)))
	}
	s.table(save)
}
