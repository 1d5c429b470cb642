package workbook

import (
	"fmt"
	"math"

	"moldwright/pipeline/format"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
)

// budget is one printed page for the head of department: the claim, the figures
// by class, what a change would save, one chart, and the method.
func (b *book) budget() {
	rows := b.res.Plaster.Budget
	if len(rows) == 0 && len(b.res.Plaster.Savings) == 0 {
		return
	}
	note := "Plaster as it will be mixed, waste and failed pours and all; the true need lies in the range four times in five. Bags are enough in nine terms of ten; what is in stock is not taken off. " +
		"The row for all is not the classes' sum: they rarely all run high together."
	if !b.res.Plaster.Priced {
		note += " Costs are empty because no price of plaster was read: add a prices sheet with item, unit and price."
	}
	note += " Shaded cells are yours to change: costs and bags follow."
	title := "Plaster to order"
	if len(rows) > 0 && rows[0].Period != "" {
		title += " for " + rows[0].Period
	}
	s, _ := openTable(b, page{name: budgetSheet, title: title, note: note, lead: b.claim()},
		table[tables.Budget]{
			name: "budget_table", full: "tables/budget.csv", columns: b.budgetColumns(), rows: rows,
			about: func(r tables.Budget) string { return r.Class }, figure: func(tables.Budget) string { return b.written().ofMass("Plaster") },
			none: "No budget could be given.",
		})
	s.onePage()
	s.keyFigures("Change the shaded cells to try another price, bag or stock", b.orderFigures())
	s.asked()
	b.changes(s)
	s.pictures(b.chartsFor(budgetSheet))
	s.notes("How it was worked out", b.budgetMethod())
	s.printArea()
	s.close()
}

// claim is the budget in a sentence, "" where there is none for all classes.
func (b *book) claim() string {
	in := b.written()
	if r, ok := b.allClasses(); ok {
		text := "We need about " + in.aboutWords(r.PlasterKgP50)
		if known(r.PlasterKgP10) && known(r.PlasterKgP90) {
			text += " of plaster (80 % interval " + format.Interval(in.aboutWords(r.PlasterKgP10), in.aboutWords(r.PlasterKgP90)) + ")"
		}
		if r.Bags == tables.NoCount || !known(b.res.Plaster.BagKg) {
			return text + "."
		}
		text += fmt.Sprintf(": buy %s %s of %s", count(r.Bags).text, bagWord(r.Bags), in.units.Bag(b.res.Plaster.BagKg))
		if known(r.BagsCost) && r.BagsCost > 0 {
			text += ", which cost " + format.Money(r.BagsCost) + " by the price list"
		}
		return text + "."
	}
	return ""
}

func bagWord(n tables.Count) string {
	if n == 1 {
		return "bag"
	}
	return "bags"
}

// changes shows what could be done otherwise and what that rests on.
func (b *book) changes(s *sheet) {
	const heading = "What a change would save in the same time"
	rows := b.res.Plaster.WhatIf
	if len(rows) == 0 {
		if savings := b.res.Plaster.Savings; len(savings) > 0 {
			s.section(heading)
			addTable(s, table[plaster.Saving]{name: "savings_table", columns: savingColumns(b.written()), rows: savings})
		}
		return
	}
	s.section(heading)
	addTable(s, table[tables.BudgetWhatIf]{name: "savings_table", full: "tables/budget_whatif.csv", columns: b.changeColumns(), rows: rows,
		about: func(r tables.BudgetWhatIf) string { return r.Change }, figure: func(tables.BudgetWhatIf) string { return b.written().ofMass("Saved") }})
	l := noteLook()
	l.size = 8
	s.paragraph(s.next, l, "Savings of several changes overlap and do not add. They rest on: "+basesOf(rows)+".")
}

// basesOf tells once what each figure rests on.
func basesOf(rows []tables.BudgetWhatIf) string {
	text := ""
	told := map[string]bool{}
	for _, r := range rows {
		if r.Basis == "" || told[r.Basis] {
			continue
		}
		told[r.Basis] = true
		if text != "" {
			text += "; "
		}
		text += r.Change
		for _, other := range rows {
			if other.Basis == r.Basis && other.Change != r.Change {
				text += ", " + other.Change
			}
		}
		text += ": " + r.Basis
	}
	return text
}

func (b *book) budgetMethod() []string {
	lines := []string{
		"Pours: the plan where one was given (--pours CLASS=N), else a Poisson or negative binomial count of the log by season, weighed by likelihood, with the scatter between terms allowed for.",
		"Plaster: each coming pour is drawn from the class's own logged pours, failed ones too, leaning on all where it has few; middle, 10 % and 90 % points of the simulated terms.",
		"Bags: whole bags that hold the 90 % point, at the price in force on the day of the report. Assumptions and sources: sheet " + methodSheet + ".",
	}
	if rows := b.res.Plaster.Budget; len(rows) > 0 && rows[len(rows)-1].Basis != "" {
		lines[0] += " Here: " + rows[len(rows)-1].Basis + "."
	}
	return lines
}

func (b *book) budgetColumns() []column[tables.Budget] {
	type row = tables.Budget
	in := b.written()
	return []column[row]{
		{head: "Class", most: 34, least: 32, value: func(r row) value { return words(r.Class) }},
		{head: in.ofMass("Plaster"), least: 11, value: func(r row) value { return in.about(r.PlasterKgP50) }},
		{head: in.ofMass("Range"), size: 10, value: func(r row) value { return span(in.about(r.PlasterKgP10), in.about(r.PlasterKgP90)) }},
		{head: "Cost", value: func(r row) value { return in.costOf(r.PlasterKgP50, r.CostP50) }},
		{head: "Range of cost", least: 12, value: func(r row) value {
			return in.costsOf(r.PlasterKgP10, r.PlasterKgP90, span(twoDigits(r.CostP10), twoDigits(r.CostP90)))
		}},
		{head: "Bags to buy", value: func(r row) value { return in.bagsOf(r) }},
		{head: "Pours", value: func(r row) value {
			if known(r.PoursP10) && r.PoursP10 == r.PoursP90 {
				return casts(r.PoursP50)
			}
			return span(casts(r.PoursP10), casts(r.PoursP90))
		}},
	}
}

func (b *book) changeColumns() []column[tables.BudgetWhatIf] {
	type row = tables.BudgetWhatIf
	in := b.written()
	return []column[row]{
		{head: "Change", most: 34, value: func(r row) value { return words(r.Change) }},
		{head: in.ofMass("Saved"), value: func(r row) value { return in.about(r.SavedKg) }},
		{head: in.ofMass("Range of saved"), value: func(r row) value { return span(in.about(r.SavedLower80), in.about(r.SavedUpper80)) }},
		{head: "Cost saved", value: func(r row) value { return in.costOf(r.SavedKg, r.SavedCost) }},
		{head: in.ofMass("Plaster then"), value: func(r row) value { return in.about(r.PlasterKg) }},
		{head: "Cost then", value: func(r row) value { return in.costOf(r.PlasterKg, r.Cost) }},
	}
}

func savingColumns(in written) []column[plaster.Saving] {
	type row = plaster.Saving
	return []column[row]{
		{head: "Change", most: 34, value: func(r row) value { return words(r.Change) }},
		{head: in.ofMass("Saved"), value: func(r row) value { return in.about(r.PlasterKg) }},
		{head: "Cost saved", value: func(r row) value { return twoDigits(r.Cost) }},
	}
}

// twoDigits is a forecast rounded to two digits, which is what is known of it at most.
func twoDigits(x float64) value {
	if !known(x) || x == 0 {
		return fixed(x, 0)
	}
	step := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-1)
	return fixed(math.Round(x/step)*step, min(2, decimalsFor(x, 2)))
}

// about is a forecast of a mass in kg, to two digits.
func (w written) about(kg float64) value { return twoDigits(w.units.MassUnit().Of(kg)) }

// aboutWords is a forecast of a mass in kg in words.
func (w written) aboutWords(kg float64) string {
	return w.about(kg).text + " " + w.units.MassUnit().Name
}
