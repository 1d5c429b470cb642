package page

import (
	"fmt"
	"math"

	"moldwright/pipeline/format"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
)

// budget says what to order, and what a change would save.
func budget(s *section, a plaster.Answer, u format.Units, figs []figure) {
	if len(a.Budget) == 0 && len(a.Savings) == 0 && len(figs) == 0 {
		return
	}
	s.heading("Plaster to order")
	for _, b := range a.Budget {
		if b.Class == groupAll && tables.Has(b.PlasterKgP50) {
			s.text("%s", claim(b, a.BagKg, u))
		}
	}
	s.figures(figs)
	t := table{
		Caption: "Plaster for the coming period, waste and failed pours and all",
		Head: append(words("Class"), numbers("Plaster|middle forecast, 80 % interval", "Bags to buy|enough in nine terms of ten",
			"Cost|of the middle forecast, 80 % interval", "Pours|80 % interval")...),
	}
	for _, b := range a.Budget {
		t.Rows = append(t.Rows, row{Cells: []cell{
			of(b.Class, b.Basis), of(aboutMass(u, b.PlasterKgP50), format.Interval(aboutMass(u, b.PlasterKgP10), aboutMass(u, b.PlasterKgP90))),
			of(count(b.Bags)), of(about(b.CostP50, ""), format.Interval(about(b.CostP10, ""), about(b.CostP90, ""))),
			of(format.Fixed(b.PoursP50, 0), format.Interval(format.Fixed(b.PoursP10, 0), format.Fixed(b.PoursP90, 0))),
		}})
	}
	s.table(t)
	changes(s, a, u)
}

// claim is the budget in a sentence.
func claim(b tables.Budget, bagKg float64, u format.Units) string {
	text := fmt.Sprintf("From %s about %s of plaster will be needed%s", b.Period, aboutMass(u, b.PlasterKgP50), bracketed(format.Interval(aboutMass(u, b.PlasterKgP10), aboutMass(u, b.PlasterKgP90))))
	if b.Bags == tables.NoCount || !tables.Has(bagKg) || bagKg <= 0 {
		return text + "."
	}
	text += fmt.Sprintf(": %s of %s are enough in nine terms of ten", plural(int(b.Bags), "bag", "bags"), u.Bag(bagKg))
	if tables.Has(b.BagsCost) && b.BagsCost > 0 {
		text += ", and cost " + format.Money(b.BagsCost)
	}
	return text + ". What is in stock is not taken off. The sheet “Budget” of report.xlsx prints on one page."
}

// changes shows what could be done otherwise in that period.
func changes(s *section, a plaster.Answer, u format.Units) {
	const caption = "What a change would save in that period; savings of several overlap"
	if len(a.WhatIf) == 0 {
		save := table{Caption: caption, Head: append(words("Change"), numbers("Plaster saved", "Cost saved")...)}
		for _, v := range a.Savings {
			save.Rows = append(save.Rows, cells(sentenceStart(v.Change), aboutMass(u, v.PlasterKg), about(v.Cost, "")))
		}
		s.table(save)
		return
	}
	save := table{Caption: caption, Head: append(words("Change"), numbers("Plaster saved|80 % interval", "Cost saved", "Plaster then")...)}
	for _, v := range a.WhatIf {
		save.Rows = append(save.Rows, row{Cells: []cell{
			of(sentenceStart(v.Change)), of(aboutMass(u, v.SavedKg), format.Interval(aboutMass(u, v.SavedLower80), aboutMass(u, v.SavedUpper80))),
			of(about(v.SavedCost, "")), of(aboutMass(u, v.PlasterKg)),
		}})
	}
	s.table(save)
	s.list(groundsOf(a.WhatIf))
}

// groundsOf tells once what each figure rests on, with the changes that share it.
func groundsOf(rows []tables.BudgetWhatIf) []string {
	var out []string
	at := map[string]int{}
	for _, r := range rows {
		if r.Basis == "" {
			continue
		}
		if i, seen := at[r.Basis]; seen {
			out[i] += ", " + r.Change
			continue
		}
		at[r.Basis] = len(out)
		out = append(out, sentenceStart(r.Change))
	}
	for basis, i := range at {
		out[i] = stopped(out[i] + ": " + basis)
	}
	return out
}

// aboutMass is about for a mass in kg.
func aboutMass(u format.Units, kg float64) string {
	return about(u.MassUnit().Of(kg), u.MassUnit().Name)
}

// about writes a forecast to the two digits that are known of it at most.
func about(x float64, unit string) string {
	if !tables.Has(x) || math.IsInf(x, 0) {
		return dash
	}
	text := "0"
	if x != 0 {
		step := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-1)
		x = math.Round(x/step) * step
		text = format.Fixed(x, min(2, max(0, 1-int(math.Floor(math.Log10(math.Abs(x))+1e-9)))))
	}
	if unit == "" {
		return text
	}
	return text + " " + unit
}
