package workbook

import (
	"slices"

	"moldwright/pipeline/tables"
)

// waste shows the waste of groups of pours, with a chart by cause.
func (b *book) waste() {
	rows := slices.Clone(b.res.Plaster.By)
	if len(rows) == 0 {
		return
	}
	slices.SortStableFunc(rows, func(x, y tables.WasteBy) int { return groupOrder(x.Group) - groupOrder(y.Group) })
	s, a := openTable(b, page{
		name: wasteSheet, title: "How much plaster is lost, and why", wide: true,
		note: "Filter the first column to one way of grouping; each way adds up to all pours. Masses are dry plaster. Share is waste against the plaster mixed. Costs are in the currency of your price list, empty without a plaster price.",
	}, table[tables.WasteBy]{
		name: "waste_table", full: "tables/waste_by.csv", columns: wasteColumns(), rows: rows,
		marks: []mark{{on: "Look at", words: highWords, columns: []string{"Which", "Look at"}, tone: toneSoon}},
	})
	s.chartOfCauses(a, rows)
	s.pictures(b.chartsFor(wasteSheet))
	s.close()
}

func wasteColumns() []column[tables.WasteBy] {
	type row = tables.WasteBy
	return []column[row]{
		{head: "Grouped by", value: func(r row) value { return words(r.Group) }},
		{head: "Which", most: 30, value: func(r row) value { return words(r.Value) }},
		{head: "Look at", value: func(r row) value { return words(wasteWords(r)) }},
		{head: "Pours", value: func(r row) value { return count(r.Pours) }},
		{head: "Plaster mixed (kg)", value: func(r row) value { return massKg(r.PlasterKg) }},
		{head: "Waste (kg)", value: func(r row) value { return massKg(r.WasteKg) }},
		{head: "Share of plaster", value: func(r row) value { return percent(r.WasteShare) }},
		{head: "Cost of waste", value: func(r row) value { return money(r.Cost) }},
		{head: "Plaster cost per good piece", value: func(r row) value { return money(r.CostPerGoodCast) }},
	}
}

func wasteWords(r tables.WasteBy) string {
	if known(r.WasteShare) && r.WasteShare > highWaste {
		return highWords
	}
	return ""
}

// chartOfCauses shows waste by cause; the rows of that group stand together.
func (s *sheet) chartOfCauses(a area, rows []tables.WasteBy) {
	is := func(r tables.WasteBy) bool { return r.Group == "cause" }
	from := slices.IndexFunc(rows, is)
	if from < 0 || a.rows != len(rows) {
		return
	}
	to := from
	for to < len(rows) && is(rows[to]) {
		to++
	}
	s.bars(a, bars{
		heading: "Waste by cause, as a chart that follows the table's filter",
		title:   "What loses the plaster?", axis: "dry plaster lost, kg", labels: "Which",
		alt:    "Bar chart of the plaster lost by cause in kg, from the table above.",
		values: []string{"Waste (kg)"}, colors: []string{"8C4A2F"}, from: from, to: to,
	})
}

// groupOrder puts the groups in the order in which a reader asks.
func groupOrder(group string) int {
	order := []string{"all", "cause", "class", "maker", "form", "kind", "month"}
	if i := slices.Index(order, group); i >= 0 {
		return i
	}
	return len(order)
}
