package workbook

import (
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// runMix is laid out for the plaster bench: what to mix for each new mold, by
// when, and the usual cautions.
func (b *book) runMix() {
	rows := b.res.Plan.Mix
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: runMixSheet, title: "What to mix and pour for the orders", wide: true,
		note: "One row for each kind of new mold. Weigh water and plaster for one mold at a time; where a mold takes more than one batch, mix its plaster and water in so many equal parts. " +
			"Pour so many by the day named: those that are likely to fail are counted in.",
		lead: "Before you open the bag: respirator or extraction on. No hand in setting plaster: it burns. No plaster down the drain. In full below.",
	}, table[tables.PlanMix]{
		name: "plan_mix_table", full: "tables/plan_mix.csv", columns: runMixColumns(b.written()), rows: rows,
		blocks: blocks[tables.PlanMix]{least: 30},
	})
	s.notes("Cautions", b.cautionsAbout("plaster"))
	s.close()
}

func runMixColumns(in written) []column[tables.PlanMix] {
	type row = tables.PlanMix
	return []column[row]{
		{head: "Form", size: 12, value: func(r row) value { return words(r.Form) }},
		{head: "Kind to make", size: 12, value: func(r row) value { return words(r.Kind) }},
		{head: "How many", size: 15, value: func(r row) value { return count(r.Molds) }},
		{head: "Pour by", size: 12, value: func(r row) value { return in.weekday(r.PourBy) }},
		{head: in.ofMass("Plaster for one"), size: 15, value: func(r row) value { return in.weighed(r.PlasterEach) }},
		{head: in.ofWater("Water for one"), size: 15, value: func(r row) value { return in.weighed(r.WaterEach) }},
		{head: "Batches for one", size: 12, value: func(r row) value { return batches(r.PoursEach) }},
		{head: "Ready by", size: 10, value: func(r row) value { return in.weekday(r.ReadyBy) }},
		{head: in.ofMass("Plaster for all"), value: func(r row) value { return in.mass(r.PlasterKg) }},
		{head: in.ofMass("Water for all"), value: func(r row) value { return in.mass(r.WaterKg) }},
		{head: "Chance that one fails", value: func(r row) value { return percent(r.ChanceFailed) }},
		{head: "Casts it will make", value: func(r row) value { return casts(r.LifeP50) }},
		{head: "Cost of one", value: func(r row) value { return money(r.CostEach) }},
		{head: "By", most: 20, value: func(r row) value { return words(r.Basis) }},
	}
}

// ofWater is a header of a mass of water. A kilogram of it is a liter; a
// pint of it is 1.04 lb, which is too far from a pound to measure one by the other.
func (w written) ofWater(head string) string {
	if w.units == format.US {
		return w.ofMass(head)
	}
	return head + " (kg = L)"
}

// batches is whole where it is, as it is for a kind that always takes so many.
func batches(n float64) value {
	if n == float64(int(n)) {
		return fixed(n, 0)
	}
	return fixed(n, 1)
}
