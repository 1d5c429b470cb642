package workbook

import (
	"slices"

	"moldwright/pipeline/advice"
	"moldwright/pipeline/tables"
)

// Words of the verdict on a group of pours.
const (
	aboveUsual    = "above usual"
	belowUsual    = "below usual"
	usual         = "usual"
	notComparable = "not compared"
)

// notGiven is the group of pours that do not say what they are grouped by.
const notGiven = "not given"

// waste shows the waste of groups of pours, with a chart by cause.
func (b *book) waste() {
	rows := slices.Clone(b.res.Plaster.By)
	if len(rows) == 0 {
		return
	}
	slices.SortStableFunc(rows, func(x, y tables.WasteBy) int { return groupOrder(x.Group) - groupOrder(y.Group) })
	s, a := openTable(b, page{
		name: wasteSheet, title: "How much plaster is lost, and why", wide: true,
		lead: wasteLead(rows),
		note: "Filter the first column to one way of grouping; each way adds up to all pours. Masses are dry plaster. The share to expect leans on all pours, the more the fewer a group has, and lies in its range four times in five. " +
			"Usual is the share that so many pours have by ordinary scatter. Costs are in the currency of your price list, empty without a plaster price.",
	}, table[tables.WasteBy]{
		name: "waste_table", full: "tables/waste_by.csv", columns: wasteColumns(b.written()), rows: rows,
		about: advice.GroupName, figure: func(r tables.WasteBy) string {
			if r.Group == everyone {
				return b.written().ofMass("Waste")
			}
			return "Share to expect"
		},
		marks: []mark{{on: "Verdict", words: aboveUsual, columns: []string{"Which", "Verdict"}, tone: toneAct}},
	})
	s.keyFigures(figuresHeading, b.wasteFigures())
	s.notes("How to read the verdict", []string{
		"Above usual: so many pours, dealt from all without looking, would hardly ever waste so much. Look for what they have in common.",
		"Usual: no more and no less than chance explains, however large the share; two pours that failed don't make a class the worst. Work on the causes instead.",
		"Pours that name no class or maker, or whose mold is not on the molds sheet (mostly those that failed), stand under “" + notGiven + "” and are not compared; so forms and kinds look better than they are.",
	})
	s.chartOfCauses(a, rows)
	s.pictures(b.chartsFor(wasteSheet))
	s.close()
}

// wasteLead names the groups that waste more than chance explains, or says that
// there are none.
func wasteLead(rows []tables.WasteBy) string {
	const most = 6
	var above []string
	compared := false
	for _, r := range rows {
		switch verdictOf(r) {
		case aboveUsual:
			above = append(above, r.Group+" "+r.Value)
			compared = true
		case usual, belowUsual:
			compared = true
		}
	}
	switch {
	case !compared:
		return ""
	case len(above) == 0:
		return "No class, maker, form, kind, month or term wastes more than chance explains."
	case len(above) > most:
		return "More waste than chance explains: " + list(above[:most]) + " and " + number(len(above)-most) + " more."
	}
	return "More waste than chance explains: " + list(above) + "."
}

func list(texts []string) string {
	out := texts[0]
	for _, t := range texts[1:] {
		out += ", " + t
	}
	return out
}

func wasteColumns(in written) []column[tables.WasteBy] {
	type row = tables.WasteBy
	return []column[row]{
		{head: "Grouped by", value: func(r row) value { return words(r.Group) }},
		{head: "Which", most: 30, value: func(r row) value { return words(r.Value) }},
		{head: "Verdict", value: func(r row) value { return words(verdictOf(r)) }},
		{head: "Pours", value: func(r row) value { return count(r.Pours) }},
		{head: in.ofMass("Plaster mixed"), value: func(r row) value { return in.mass(r.PlasterKg) }},
		{head: in.ofMass("Waste"), value: func(r row) value { return in.mass(r.WasteKg) }},
		{head: "Share of plaster", value: func(r row) value { return percent(r.WasteShare) }},
		{head: "Usual for so many", value: func(r row) value {
			if r.Verdict == "" || r.Value == notGiven {
				return value{}
			}
			return span(percent(r.UsualLower), percent(r.UsualUpper))
		}},
		{head: "Share to expect", value: func(r row) value { return percent(orEmpty(r, r.ShrunkShare)) }},
		{head: "Range of that", value: func(r row) value {
			return span(percent(orEmpty(r, r.Lower80)), percent(orEmpty(r, r.Upper80)))
		}},
		{head: "Cost of waste", value: func(r row) value { return money(r.Cost) }},
		{head: "Plaster cost per good piece", value: func(r row) value { return money(r.CostPerGoodCast) }},
	}
}

// orEmpty is x where the group has a verdict, absent elsewhere.
func orEmpty(r tables.WasteBy, x float64) float64 {
	if r.Verdict == "" {
		return tables.Absent()
	}
	return x
}

// verdictOf is the verdict on a group; pours that say nothing of what they are
// grouped by are no group to act on.
func verdictOf(r tables.WasteBy) string {
	if r.Verdict != "" && r.Value == notGiven {
		return notComparable
	}
	return r.Verdict
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
	unit := s.b.written().units.MassUnit().Name
	s.bars(a, bars{
		heading: "Waste by cause, as a chart that follows the table's filter",
		title:   "What loses the plaster?", axis: "dry plaster lost, " + unit, labels: "Which",
		alt:    "Bar chart of the plaster lost by cause in " + unit + ", from the table above.",
		values: []string{s.b.written().ofMass("Waste")}, colors: []string{"8C4A2F"}, from: from, to: to,
	})
}

// groupOrder puts the groups in the order in which a reader asks.
func groupOrder(group string) int {
	order := []string{"all", "cause", "class", "maker", "form", "kind", "term", "month"}
	if i := slices.Index(order, group); i >= 0 {
		return i
	}
	return len(order)
}
