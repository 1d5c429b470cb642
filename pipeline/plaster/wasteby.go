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
	rows, _ := b.groups("all", func(*entry) string { return "all" })
	rows = append(rows, b.byCause()...)
	usual := newUsualShares(b.entries)
	for _, g := range []struct {
		name  string
		value func(*entry) string
	}{
		{"class", func(e *entry) string { return e.Class }},
		{"maker", func(e *entry) string { return e.Maker }},
		{"form", func(e *entry) string { return e.form }},
		{"kind", func(e *entry) string { return e.kind }},
		{"month", daily(monthOf)},
		{"term", daily(termOf)},
	} {
		groups, members := b.groups(g.name, g.value)
		b.shrunk(groups, members)
		shares, _ := b.sharesOf(members)
		usual.judge(groups, shares)
		rows = append(rows, groups...)
	}
	return rows
}

func monthOf(d tables.Date) string {
	if !d.Valid() {
		return ""
	}
	return d.Time().Format("2006-01")
}

// daily names what a pour's day belongs to, once for the pours of a day.
func daily(name func(tables.Date) string) func(*entry) string {
	last, of, known := tables.NoDate, "", false
	return func(e *entry) string {
		if !known || e.Date != last {
			last, of, known = e.Date, name(e.Date), true
		}
		return of
	}
}

// groups are the rows of one grouping, and the places in the book of each one's pours.
func (b book) groups(name string, value func(*entry) string) ([]tables.WasteBy, [][]int32) {
	spelling, of := b.groupsBy(value)
	members := placesBy(of, len(spelling)).each()
	order := make([]int, len(spelling))
	for k := range order {
		order[k] = k
	}
	slices.SortFunc(order, func(i, k int) int { return cmp.Compare(fold(spelling[i]), fold(spelling[k])) })
	rows, pours := make([]tables.WasteBy, len(order)), make([][]int32, len(order))
	for i, k := range order {
		rows[i], pours[i] = b.group(name, spelling[k], members[k]), members[k]
	}
	return rows, pours
}

// groupsBy are the groups of the pours by a value, in the order of first mention and
// in the spelling met first, and the group of each pour.
func (b book) groupsBy(value func(*entry) string) (spelling []string, of []int32) {
	of = make([]int32, len(b.entries))
	byName, bySpelling := map[string]int32{}, map[string]int32{}
	for i := range b.entries {
		v := value(&b.entries[i])
		k, met := bySpelling[v]
		if !met {
			shown := cmp.Or(strings.TrimSpace(v), notGiven)
			name := fold(shown)
			var seen bool
			if k, seen = byName[name]; !seen {
				k = int32(len(spelling))
				byName[name] = k
				spelling = append(spelling, shown)
			}
			bySpelling[v] = k
		}
		of[i] = k
	}
	return spelling, of
}

// unjudged is a row of which nothing is known yet.
func unjudged(group, value string) tables.WasteBy {
	absent := tables.Absent()
	return tables.WasteBy{Group: group, Value: value, WasteKg: absent, WasteShare: absent, Cost: absent, CostPerGoodCast: absent,
		ShrunkShare: absent, Lower80: absent, Upper80: absent, UsualLower: absent, UsualUpper: absent}
}

func (b book) group(name, value string, members []int32) tables.WasteBy {
	row := unjudged(name, value)
	row.Pours, row.CostPerGoodCast = tables.Count(len(members)), b.costPerGoodCast(members)
	var waste, known, cost float64
	anyKnown := false
	for _, i := range members {
		e := &b.entries[i]
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
func (b book) costPerGoodCast(members []int32) float64 {
	var cost float64
	casts := 0
	for _, i := range members {
		e := &b.entries[i]
		cost += b.prices.cost(e.PlasterKg, e.Date)
		for _, mold := range b.made(e) {
			casts += b.links.molds[mold].goodCasts
		}
	}
	if casts == 0 {
		return tables.Absent()
	}
	return cost / float64(casts)
}

func (b book) byCause() []tables.WasteBy {
	known := b.plasterOfKnown()
	var rows []tables.WasteBy
	for _, cause := range causes() {
		row := unjudged("cause", cause)
		row.PlasterKg, row.WasteKg, row.Cost = tables.Absent(), 0, 0
		for i := range b.entries {
			e := &b.entries[i]
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
func (b book) plasterOfKnown() float64 {
	var kg float64
	for i := range b.entries {
		if e := &b.entries[i]; e.known() {
			kg += e.PlasterKg
		}
	}
	return kg
}
