package workbook

import "moldwright/pipeline/tables"

// overmix says how much more than the gaps call for to mix.
func (b *book) overmix() {
	rows := b.res.Plaster.Overmix
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: overmixSheet, title: "How much more than the gaps call for to mix",
		note: "Weighs a short pour, which costs the whole mold, against spare plaster, which costs only its price. The spread of your own estimates sets how much is enough.",
	}, table[tables.Overmix]{name: "overmix_table", full: "tables/overmix.csv", columns: overmixColumns(), rows: rows})
	s.close()
}

func overmixColumns() []column[tables.Overmix] {
	type row = tables.Overmix
	return []column[row]{
		{head: "Form", most: 30, value: func(r row) value { return words(r.Form) }},
		{head: "Mix this much more", value: func(r row) value { return percent(r.AdvisedOvermixShare) }},
		{head: "Chance to be short all the same", value: func(r row) value { return percent(r.ChanceShort) }},
		{head: "Spread of your estimates", value: func(r row) value { return percent(r.EstimateErrorSD) }},
	}
}
