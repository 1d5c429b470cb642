package workbook

import (
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// moldCost shows what a good cast costs in plaster, by kind of mold.
func (b *book) moldCost() {
	rows := b.res.Plaster.MoldCosts
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: moldCostSheet, title: "What a good cast costs in plaster, by kind of mold", wide: true,
		note: "The plaster of failed pours is charged to the usable molds of their kind. Over a whole life a mold makes the casts it made and the middle forecast of those to come. " +
			"Failed pours that name no mold have no kind: their plaster is shared among the kinds in proportion to what was poured for each. Labour is not counted.",
		lead: lifeCostLead(b.res.Settings.Units, rows),
	}, table[tables.MoldCost]{name: "mold_cost_table", full: "tables/mold_cost.csv", columns: moldCostColumns(b.written()), rows: rows})
	s.close()
}

// lifeCostLead compares the kinds over a whole life, "" where there are not two to compare.
func lifeCostLead(u format.Units, rows []tables.MoldCost) string {
	var least, most tables.MoldCost
	kinds := 0
	for _, r := range rows {
		if !known(r.LifePlaster) || r.LifePlaster <= 0 {
			continue
		}
		if kinds++; kinds == 1 {
			least, most = r, r
		}
		if r.LifePlaster < least.LifePlaster {
			least = r
		}
		if r.LifePlaster > most.LifePlaster {
			most = r
		}
	}
	if kinds < 2 {
		return ""
	}
	return "Over a whole life a good cast takes " + perCast(u, least) + " from a " + least.Kind + " mold and " + perCast(u, most) + " from a " + most.Kind + " one."
}

func perCast(u format.Units, r tables.MoldCost) string {
	text := u.Mass(r.LifePlaster) + " of plaster"
	if known(r.LifeCost) {
		text += " (" + format.Money(r.LifeCost) + ")"
	}
	return text
}

func moldCostColumns(in written) []column[tables.MoldCost] {
	type row = tables.MoldCost
	return []column[row]{
		{head: "Kind of mold", value: func(r row) value { return words(r.Kind) }},
		{head: "Usable molds", value: func(r row) value { return count(r.Molds) }},
		{head: "Pours", value: func(r row) value { return count(r.Pours) }},
		{head: "Failed pours", value: func(r row) value { return count(r.FailedPours) }},
		{head: in.ofMass("Plaster a usable mold"), value: func(r row) value { return in.mass(r.PlasterPerMold) }},
		{head: "Its cost", value: func(r row) value { return money(r.CostPerMold) }},
		{head: "Good casts so far", value: func(r row) value { return count(r.GoodCasts) }},
		{head: in.ofMass("Plaster a good cast so far"), value: func(r row) value { return in.mass(r.PlasterPerGoodCast) }},
		{head: "Cost a good cast so far", value: func(r row) value { return money(r.CostPerGoodCast) }},
		{head: "Good of 100 casts", value: func(r row) value { return percent(r.GoodShare) }},
		{head: "Casts in a life", value: func(r row) value { return casts(r.LifeCasts) }},
		{head: in.ofMass("Plaster a good cast, whole life"), value: func(r row) value { return in.mass(r.LifePlaster) }},
		{head: "Cost a good cast, whole life", value: func(r row) value { return money(r.LifeCost) }},
	}
}
