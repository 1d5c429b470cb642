package workbook

import (
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/advice"
	"moldwright/pipeline/format"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/tables"
)

// runPlan says of each order whether it comes in time and what to do about it,
// and below that what to have at hand, what a change would bring, and what the
// plan rests on. Its headings are none that a log's sheets have, so that a plan
// kept among the logs is not read as one.
func (b *book) runPlan() {
	a := b.res.Plan
	if len(a.Orders) == 0 && b.home != planSheet {
		return
	}
	goal := b.res.Settings.Plan.Goal
	p := page{
		name: planSheet, title: "Will the orders come in time?", wide: true, once: true, lead: planInALine(a, goal),
		note: fmt.Sprintf("Chances are counted over %d simulated runs: each mold's end, each reject and each failed pour drawn by what the log tells; by the counting alone each is good to %s points (standard error). "+
			"An order should have a chance of %s. “Missing, bad run”: in one run of ten more good pieces than this are missing on the last day.",
			a.Simulation.Draws, format.Fixed(100*a.Simulation.StdError, 1), format.Percent(goal)),
	}
	figures := table[tables.PlanOrder]{name: "plan_figures_table", full: "tables/plan_orders.csv", columns: orderFigures(b.written()), rows: a.Orders}
	p.below = widthsOf(figures)
	s, _ := openTable(b, p, table[tables.PlanOrder]{
		name: "plan_orders_table", full: "tables/plan_orders.csv", columns: orderColumns(goal, b.written(), a.Orders), rows: a.Orders,
		about: advice.OrderName, figure: func(tables.PlanOrder) string { return chanceHead },
		none: "There is no plan: " + a.WhyNot + ".",
		marks: []mark{
			{on: "Verdict", words: advice.VerdictPour, columns: []string{"Verdict"}, tone: toneSoon},
			{on: "Verdict", words: advice.VerdictMove, columns: []string{"Verdict"}, tone: toneAct},
			{on: "Verdict", words: advice.VerdictNone, columns: []string{"Verdict"}, tone: toneAct},
		},
	})
	s.keyFigures(figuresHeading, b.planFigures())
	if len(a.Orders) > 0 {
		s.section("The figures behind")
		addTable(s, figures)
	}
	b.atHand(s)
	if cols := whatIfColumns(a.WhatIf); len(cols) > 1 {
		s.section("Chance on time if you do otherwise (one change at a time, otherwise with the molds in hand)")
		addTable(s, table[[]tables.PlanWhatIf]{name: "plan_whatif_table", full: "tables/plan_whatif.csv", columns: cols, rows: whatIfRows(a.WhatIf)})
	}
	s.pictures(b.chartsFor(planSheet))
	s.notes("What a reader must know", planNotes(a))
	s.notes("What the plan rests on, beside what the log tells of walls and lives", assumptionsInWords(a.Assumed))
	s.close()
}

// planInALine counts the verdicts.
func planInALine(a plan.Answer, goal float64) string {
	counts := map[string]int{}
	for _, o := range a.Orders {
		counts[advice.Verdict(o, goal)]++
	}
	var parts []string
	for _, v := range []string{advice.VerdictFine, advice.VerdictPour, advice.VerdictMove, advice.VerdictNone} {
		if counts[v] > 0 {
			parts = append(parts, fmt.Sprintf("%s: %d", v, counts[v]))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("Of %d orders, by verdict: %s.", len(a.Orders), strings.Join(parts, ", "))
}

const chanceHead = "Chance on time"

// orderColumns answer what the potter asks; the figures stand in a second table,
// so that the first one prints large enough to be read.
func orderColumns(goal float64, in written, rows []tables.PlanOrder) []column[tables.PlanOrder] {
	type row = tables.PlanOrder
	cols := []column[row]{
		{head: "Order", size: 12, most: 24, value: orderName},
		{head: "Verdict", size: 12, value: func(r row) value { return words(advice.Verdict(r, goal)) }},
		{head: chanceHead, size: 12, value: func(r row) value { return chance(r.ChanceOnTime) }},
		{head: "In words", value: func(r row) value { return words(format.Likely(r.ChanceOnTime)) }},
		{head: "To make", size: 12, value: func(r row) value { return count(r.Pieces) }},
		{head: "Last day", size: 12, value: func(r row) value { return in.day(r.Due) }},
		{head: "What to do", most: 30, size: 11, value: func(r row) value { return words(advice.Deed(r, goal, in.days)) }},
	}
	if slices.ContainsFunc(rows, func(r row) bool { return r.WhyNot != "" }) {
		cols = append(cols, column[row]{head: "Why", most: 30, value: func(r row) value { return words(r.WhyNot) }})
	}
	return cols
}

func orderName(r tables.PlanOrder) value { return words(advice.OrderName(r)) }

func orderFigures(in written) []column[tables.PlanOrder] {
	type row = tables.PlanOrder
	return []column[row]{
		{head: "Figures of order", most: 24, value: orderName},
		{head: "Missing, bad run", value: func(r row) value { return count(r.ShortP90) }},
		{head: "New molds", value: func(r row) value { return count(r.NewMolds) }},
		{head: "Pour by", value: func(r row) value { return in.day(r.PourBy) }},
		{head: "Chance with new molds", value: func(r row) value { return chance(r.ChanceWithNew) }},
		{head: "First day to promise", value: func(r row) value { return in.day(r.FeasibleBy) }},
		{head: "Molds in hand, casts it takes", value: func(r row) value {
			if r.CastsP50 == tables.NoCount {
				return value{}
			}
			return words(fmt.Sprintf("%s, about %s", format.Molds(int(max(r.MoldsInHand, 0))), format.Casts(float64(r.CastsP50))))
		}},
		{head: "Clay slip, plaster", value: func(r row) value { return words(slipAndPlaster(in.units, r)) }},
	}
}

func slipAndPlaster(u format.Units, r tables.PlanOrder) string {
	var parts []string
	if r.SlipKg > 0 {
		parts = append(parts, "slip "+u.Mass(r.SlipKg))
	}
	if r.PlasterKg > 0 {
		parts = append(parts, "plaster "+u.Mass(r.PlasterKg))
	}
	return strings.Join(parts, ", ")
}

// need is a thing to have at hand.
type need struct {
	what   string
	amount value
	unit   string
}

// atHand lists plaster, water and slip for the whole run.
func (b *book) atHand(s *sheet) {
	n, in := b.res.Plan.Needs, b.written()
	all := []need{
		{"Plaster for the new molds", in.mass(n.PlasterKg), in.units.MassUnit().Name},
		{"Water for the new molds", in.mass(n.WaterKg), in.units.MassUnit().Name},
		{"Slip, expected", in.mass(n.SlipKg), in.units.MassUnit().Name},
		{"Slip that is enough in nine runs of ten", in.mass(n.SlipP90Kg), in.units.MassUnit().Name},
		{"Casts, expected", casts(n.Casts), "casts"},
		{"Cost of the new molds (plaster, water, labour; currency of the price list)", money(n.NewMoldsCost), ""},
	}
	if n.KilnLoads > 0 {
		all = append(all, need{"Kiln loads", whole(n.KilnLoads), "loads"})
	}
	var known []need
	for _, x := range all {
		if x.amount.is == isNumber && x.amount.number > 0 {
			known = append(known, x)
		}
	}
	if len(known) == 0 {
		return
	}
	s.section("What to have at hand for the whole run")
	addTable(s, table[need]{name: "plan_needs_table", rows: known, columns: []column[need]{
		{head: "What", value: func(r need) value { return words(r.what) }},
		{head: "How much", value: func(r need) value { return r.amount }},
		{head: "Unit", value: func(r need) value { return words(r.unit) }},
	}})
}

// whatIfRows puts the alternatives of an order side by side.
func whatIfRows(all []tables.PlanWhatIf) [][]tables.PlanWhatIf {
	var rows [][]tables.PlanWhatIf
	at := map[tables.Count]int{}
	for _, w := range all {
		i, ok := at[w.Order]
		if !ok {
			i = len(rows)
			at[w.Order] = i
			rows = append(rows, nil)
		}
		rows[i] = append(rows[i], w)
	}
	return rows
}

func whatIfColumns(all []tables.PlanWhatIf) []column[[]tables.PlanWhatIf] {
	type row = []tables.PlanWhatIf
	cols := []column[row]{
		{head: "For order", most: 24, value: func(r row) value { return words(fmt.Sprintf("%d: %s", r[0].Order, r[0].Form)) }},
	}
	var names []string
	for _, w := range all {
		if !slices.Contains(names, w.Alternative) {
			names = append(names, w.Alternative)
		}
	}
	for _, name := range names {
		cols = append(cols, column[row]{head: capital(name), value: func(r row) value {
			for _, w := range r {
				if w.Alternative == name {
					return chance(w.ChanceOnTime)
				}
			}
			return value{}
		}})
	}
	return cols
}

// assumptionsInWords are what the plan rests on, a line each.
func assumptionsInWords(all []tables.PlanAssumed) []string {
	var out []string
	for _, a := range all {
		out = append(out, format.Assumed(a)+".")
	}
	return out
}

// planNotes says how molds were shared between orders, and what else to know.
func planNotes(a plan.Answer) []string {
	var notes []string
	if a.Schedule.Rule != "" {
		notes = append(notes, fmt.Sprintf("Where orders share molds: %s. Mean chance over the orders %s; by earliest due day first %s. Pieces ready in time, expected: %s; no rule could have more than %s.",
			a.Schedule.Rule, chance(a.Schedule.OnTime).text, chance(a.Schedule.EarlyDue).text, format.Fixed(a.Schedule.Pieces, 0), format.Fixed(a.Schedule.MostBound, 0)))
	}
	return append(notes, a.Notes...)
}
