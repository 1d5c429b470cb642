package workbook

import (
	"fmt"

	"moldwright/pipeline/format"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
)

// budget says what plaster to order, and what a change would save.
func (b *book) budget() {
	rows := b.res.Plaster.Budget
	if len(rows) == 0 && len(b.res.Plaster.Savings) == 0 {
		return
	}
	note := "Bags are enough for nine terms of ten; low and high are the ends of the 80 % interval."
	if kg := b.res.Plaster.BagKg; known(kg) && kg > 0 {
		note += fmt.Sprintf(" A bag holds %s kg.", format.Significant(kg, 3))
	}
	if !b.res.Plaster.Priced {
		note += " Costs are empty because no price of plaster was read: add a prices sheet with item, unit and price."
	}
	s, _ := openTable(b, page{name: budgetSheet, title: "How much plaster to order", note: note, wide: true},
		table[tables.Budget]{
			name: "budget_table", full: "tables/budget.csv", columns: budgetColumns(), rows: rows,
			none: "No budget could be given.",
		})
	if savings := b.res.Plaster.Savings; len(savings) > 0 {
		s.section("What a change would save in the same period")
		addTable(s, table[plaster.Saving]{name: "savings_table", columns: savingColumns(), rows: savings})
	}
	s.pictures(b.chartsFor(budgetSheet))
	s.close()
}

func budgetColumns() []column[tables.Budget] {
	type row = tables.Budget
	return []column[row]{
		{head: "Class", most: 40, value: func(r row) value { return words(r.Class) }},
		{head: "Plaster (kg)", value: func(r row) value { return massKg(r.PlasterKgP50) }},
		{head: "Cost", value: func(r row) value { return money(r.CostP50) }},
		{head: "Plaster, low (kg)", value: func(r row) value { return massKg(r.PlasterKgP10) }},
		{head: "Plaster, high (kg)", value: func(r row) value { return massKg(r.PlasterKgP90) }},
		{head: "Bags to buy", value: func(r row) value { return count(r.Bags) }},
		{head: "Period", most: 30, value: func(r row) value { return words(r.Period) }},
	}
}

func savingColumns() []column[plaster.Saving] {
	type row = plaster.Saving
	return []column[row]{
		{head: "Change", most: 40, value: func(r row) value { return words(r.Change) }},
		{head: "Plaster saved (kg)", value: func(r row) value { return massKg(r.PlasterKg) }},
		{head: "Cost saved", value: func(r row) value { return money(r.Cost) }},
	}
}
