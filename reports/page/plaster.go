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
	groupMaker = "maker"
	groupTerm  = "term"
)

// plasterSection says where the plaster went and what to order.
func plasterSection(res pipeline.Result, figs []figure) section {
	s := section{ID: "plaster", Title: "Plaster"}
	a, u := res.Plaster, res.Settings.Units
	if len(a.Pours) == 0 {
		s = s.leftOut(res, a.WhyNot, "No pour is on file")
		s.figures(figs)
		return s
	}
	for _, g := range a.By {
		if g.Group == groupAll {
			s.text("%s", overall(g, a.Priced, u))
		}
	}
	if !a.Priced {
		s.text("Costs are not given: there is no price of plaster on file.")
	}
	order, others := take(figs, chartBudget)
	s.heading("Where it went")
	s.figures(others)
	waste(&s, a, u)
	pourByPour(&s, res)
	moldCosts(&s, a, u)
	mixing(&s, res)
	overmix(&s, a, u)
	budget(&s, a, u, order)
	cuts(&s, res)
	if len(a.Notes) > 0 {
		s.heading("What these figures assume")
		s.list(sentences(a.Notes))
	}
	return s
}

func overall(g tables.WasteBy, priced bool, u format.Units) string {
	text := fmt.Sprintf("%s took %s of dry plaster", plural(int(g.Pours), "pour", "pours"), u.Mass(g.PlasterKg))
	if !tables.Has(g.WasteKg) {
		return text + "; how much of it is in no usable mold is not known."
	}
	text += fmt.Sprintf("; %s is in no usable mold: %s of the plaster of those pours whose waste is known.", u.Mass(g.WasteKg), format.Percent(g.WasteShare))
	if cost := format.Money(g.Cost); priced && cost != dash {
		text += fmt.Sprintf(" That cost %s, in the currency of the price list.", cost)
	}
	return text
}

// waste shows the waste of groups, with the verdict that says whether a group
// stands out from chance.
func waste(s *section, a plaster.Answer, u format.Units) {
	s.table(wasteByCause(a, u))
	judged := false
	for _, g := range []struct{ group, caption, what string }{
		{groupClass, "Waste by class", "Class"}, {groupMaker, "Waste by maker", "Maker"}, {groupTerm, "Waste by term", "Term"},
	} {
		t := wasteBy(a, u, g.group, g.caption, g.what)
		s.table(t)
		judged = judged || len(t.Rows) > 0
	}
	if judged {
		s.small("Usual is what so many pours waste by ordinary scatter; only a group above usual wastes more than chance explains. The share to expect leans on all pours, the more the fewer a group has, so that two pours that failed don't make a class the worst.")
	}
	s.small("By form, kind of mold and month: sheet “Waste” of report.xlsx, or tables/waste_by.csv.")
}

func wasteByCause(a plaster.Answer, u format.Units) table {
	t := table{Caption: "Waste by cause", Head: append(words("Cause"), numbers("Pours", "Waste", "Share of all plaster", "Cost of the waste")...)}
	for _, g := range a.By {
		if g.Group == groupCause {
			t.Rows = append(t.Rows, cells(g.Value, count(g.Pours), u.Mass(g.WasteKg), format.Percent(g.WasteShare), format.Money(g.Cost)))
		}
	}
	return t
}

func wasteBy(a plaster.Answer, u format.Units, group, caption, what string) table {
	t := table{
		Caption: caption,
		Head:    append(words(what+"|verdict"), numbers("Pours", "Plaster mixed", "Waste", "Waste share|usual for so many pours", "Share to expect|80 % interval", "Cost of the waste", "Plaster cost|a good piece")...),
	}
	for _, g := range a.By {
		if g.Group != group {
			continue
		}
		verdict, common, expect, interval := g.Verdict, "", "", ""
		switch {
		case g.Verdict == "":
			expect = dash
		case g.Value == notGiven:
			verdict, expect = "not compared", dash
		default:
			common = format.Interval(format.Percent(g.UsualLower), format.Percent(g.UsualUpper))
			expect, interval = format.Percent(g.ShrunkShare), format.Interval(format.Percent(g.Lower80), format.Percent(g.Upper80))
		}
		t.Rows = append(t.Rows, row{Cells: []cell{
			of(g.Value, verdict), of(count(g.Pours)), of(u.Mass(g.PlasterKg)), of(u.Mass(g.WasteKg)), of(format.Percent(g.WasteShare), common),
			of(expect, interval), of(format.Money(g.Cost)), of(format.Money(g.CostPerGoodCast)),
		}})
	}
	return t
}

// notGiven is the group of pours that do not say what they are grouped by.
const notGiven = "not given"

// poursShown is how many pours the page lists: the newest.
const poursShown = 60

func pourByPour(s *section, res pipeline.Result) {
	a := res.Plaster
	s.heading("Pour by pour")
	s.table(poursTable(res))
	text := "Needed: what the measured gaps call for. Unexplained: waste that no weighed part explains; below zero where more is accounted for than was mixed."
	if left := len(a.Pours) - poursShown; left > 0 {
		text += fmt.Sprintf(" These are the newest %s; those of %s before stand in tables/pour_waste.csv.", plural(poursShown, "pour", "pours"), plural(left, "pour", "pours"))
	}
	s.small("%s", text)
}

func poursTable(res pipeline.Result) table {
	a, u := res.Plaster, res.Settings.Units
	t := table{
		Caption: "Each pour, as dry plaster",
		Head: append(append(words("Pour|class · maker", "Day"), numbers("Mixed", "Needed", "In a mold", "Waste|80 % interval", "Unexplained|80 % interval", "Water to plaster|parts in 100", "Cost of the waste")...),
			words("Main cause")...),
	}
	balances := map[string]tables.PourBalance{}
	for _, b := range a.Balances {
		balances[b.Pour] = b
	}
	for _, p := range a.Pours[max(0, len(a.Pours)-poursShown):] {
		open := ""
		if b, ok := balances[p.Pour]; ok && b.UnexplainedLower80 < b.UnexplainedUpper80 {
			open = format.Interval(u.Mass(b.UnexplainedLower80), u.Mass(b.UnexplainedUpper80))
		}
		t.Rows = append(t.Rows, row{Cells: []cell{
			of(p.Pour, joined(p.Class, p.Maker)), of(res.Settings.Days.Day(p.Date)), of(u.Mass(p.PlasterKg)), of(u.Mass(p.NeededKg)), of(u.Mass(p.InMoldKg)),
			of(u.Mass(p.WasteKg), format.Interval(u.Mass(p.WasteLower80), u.Mass(p.WasteUpper80))),
			of(u.Mass(p.UnexplainedKg), open), of(format.Fixed(p.Consistency, 0)), of(format.Money(p.Cost)), of(p.MainCause),
		}})
	}
	return t
}

func moldCosts(s *section, a plaster.Answer, u format.Units) {
	t := table{
		Caption: "Plaster of a mold and of a good cast, by kind",
		Head:    append(words("Kind"), numbers("Usable molds", "Pours|failed", "Plaster a mold|cost", "Good casts so far", "Plaster a good cast so far|cost", "Casts in a life", "Plaster a good cast, whole life|cost")...),
	}
	for _, m := range a.MoldCosts {
		failed := ""
		if m.FailedPours > 0 {
			failed = count(m.FailedPours) + " failed"
		}
		t.Rows = append(t.Rows, row{Cells: []cell{
			of(m.Kind), of(count(m.Molds)), of(count(m.Pours), failed), of(u.Mass(m.PlasterPerMold), format.Money(m.CostPerMold)), of(count(m.GoodCasts)),
			of(u.Mass(m.PlasterPerGoodCast), format.Money(m.CostPerGoodCast)), of(format.Fixed(m.LifeCasts, 0)), of(u.Mass(m.LifePlaster), format.Money(m.LifeCost)),
		}})
	}
	if len(t.Rows) == 0 {
		return
	}
	s.heading("What a good cast costs in plaster")
	s.table(t)
	s.small("The plaster of failed pours is charged to the usable molds of their kind. Failed pours that name no mold have no kind: their plaster is shared among the kinds in proportion to what was poured for each. Labour is not counted.")
}
