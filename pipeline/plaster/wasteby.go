package plaster

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"moldwright/pipeline/tables"
)

// roundingKg is what the rounding of sums may leave of a part that is none.
const roundingKg = 1e-9

// notGiven stands for the pours of a grouping without a value for it.
const notGiven = "not given"

// wasteBy sums the pours by everything they can be grouped by. The waste of
// every grouping adds to the same total. Pours whose waste is not known count
// among pours and plaster, and are left out of the waste and of its share.
//
// Grouped by cause, a pour counts with every cause that it has; the share is that
// of the plaster of all pours whose waste is known, and there is no plaster and
// no cost per good cast: they belong to no cause.
//
// Each group's share is shrunk toward that of all (see shrunk), and judged by the
// limits of ordinary scatter (see usualShares).
func (b book) wasteBy() []tables.WasteBy {
	rows, _ := b.groups("all", func(entry) string { return "all" })
	rows = append(rows, b.byCause()...)
	usual := newUsualShares(b.entries)
	for _, g := range []struct {
		name  string
		value func(entry) string
	}{
		{"class", func(e entry) string { return e.Class }},
		{"maker", func(e entry) string { return e.Maker }},
		{"form", func(e entry) string { return e.form }},
		{"kind", func(e entry) string { return e.kind }},
		{"month", monthOf},
		{"term", func(e entry) string { return termOf(e.Date) }},
	} {
		groups, members := b.groups(g.name, g.value)
		shrunk(groups, members)
		usual.judge(groups, members)
		rows = append(rows, groups...)
	}
	return rows
}

func monthOf(e entry) string {
	if !e.Date.Valid() {
		return ""
	}
	return e.Date.Time().Format("2006-01")
}

// groups are the rows of one grouping, and the pours of each.
func (b book) groups(name string, value func(entry) string) ([]tables.WasteBy, [][]entry) {
	spelling := map[string]string{} // the first spelling of a value is shown
	members := map[string][]int32{} // places in the book
	var keys []string
	for i, e := range b.entries {
		v := cmp.Or(strings.TrimSpace(value(e)), notGiven)
		k := fold(v)
		if _, seen := spelling[k]; !seen {
			spelling[k] = v
			keys = append(keys, k)
		}
		members[k] = append(members[k], int32(i))
	}
	slices.Sort(keys)
	var rows []tables.WasteBy
	var pours [][]entry
	all := make([]entry, 0, len(b.entries)) // group by group
	for _, k := range keys {
		from := len(all)
		for _, i := range members[k] {
			all = append(all, b.entries[i])
		}
		ofGroup := all[from:len(all):len(all)]
		rows, pours = append(rows, b.group(name, spelling[k], ofGroup)), append(pours, ofGroup)
	}
	return rows, pours
}

// unjudged is a row of which nothing is known yet.
func unjudged(group, value string) tables.WasteBy {
	absent := tables.Absent()
	return tables.WasteBy{Group: group, Value: value, WasteKg: absent, WasteShare: absent, Cost: absent, CostPerGoodCast: absent,
		ShrunkShare: absent, Lower80: absent, Upper80: absent, UsualLower: absent, UsualUpper: absent}
}

func (b book) group(name, value string, members []entry) tables.WasteBy {
	row := unjudged(name, value)
	row.Pours, row.CostPerGoodCast = tables.Count(len(members)), b.costPerGoodCast(members)
	var waste, known, cost float64
	anyKnown := false
	for _, e := range members {
		row.PlasterKg += e.PlasterKg
		if e.known() {
			anyKnown = true
			waste += e.waste
			known += e.PlasterKg
			cost += b.cost(e)
		}
	}
	if anyKnown {
		row.WasteKg, row.WasteShare, row.Cost = waste, waste/known, cost
	}
	return row
}

// costPerGoodCast is the cost of all plaster of the pours, the failed ones too,
// per good cast that their molds made in the log. Absent without a price, or
// where the log marks no cast of theirs as good.
func (b book) costPerGoodCast(members []entry) float64 {
	var cost float64
	casts := 0
	for _, e := range members {
		cost += b.prices.cost(e.PlasterKg, e.Date)
		for _, mold := range b.links.byPour[fold(e.Pour.Pour)] {
			casts += b.links.molds[mold].goodCasts
		}
	}
	if casts == 0 {
		return tables.Absent()
	}
	return cost / float64(casts)
}

func (b book) byCause() []tables.WasteBy {
	known := b.plasterOfKnown(b.entries)
	var rows []tables.WasteBy
	for _, cause := range causes() {
		row := unjudged("cause", cause)
		row.PlasterKg, row.WasteKg, row.Cost = tables.Absent(), 0, 0
		for _, e := range b.entries {
			if part := e.parts.of(cause); e.known() && math.Abs(part) > roundingKg {
				row.Pours++
				row.WasteKg += part
				row.Cost += b.prices.cost(part, e.Date)
			}
		}
		if row.Pours == 0 {
			continue
		}
		row.WasteShare = row.WasteKg / known
		rows = append(rows, row)
	}
	return rows
}

// plasterOfKnown is the plaster mixed for those pours whose waste is known, kg.
func (b book) plasterOfKnown(entries []entry) float64 {
	var kg float64
	for _, e := range entries {
		if e.known() {
			kg += e.PlasterKg
		}
	}
	return kg
}
