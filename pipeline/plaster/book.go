package plaster

import (
	"fmt"
	"slices"

	"moldwright/pipeline/tables"
)

// entry is one pour with all that was worked out for it.
type entry struct {
	tables.Pour
	kind, form string // of its mold, "" where not known
	slurry     Slurry
	filling    filling
	needed     mass
	usable     bool
	balance
}

// book holds the pours, oldest first, and what they are joined with.
type book struct {
	entries []entry
	links   links
	prices  priceList
	habits  habits
	set     Settings
}

func newBook(pours []tables.Pour, gaps []*gapTable, l links, prices priceList, set Settings, problems *problemList) book {
	b := book{links: l, prices: prices, set: set, entries: slices.Grow([]entry(nil), len(pours))}
	tableOf := map[string]*gapTable{}
	for _, g := range gaps {
		tableOf[fold(g.pour)] = g
	}
	noOutcome := 0
	for _, p := range pours {
		e := entry{Pour: p, slurry: slurryOf(p, set, problems)}
		e.filling, e.needed = neededFor(p, e.slurry, tableOf[fold(p.Pour)], set, problems)
		e.kind, e.form = b.links.kindAndForm(p)
		e.usable = isGood(p) || b.links.made(p)
		if p.Outcome == "" && !b.links.made(p) {
			noOutcome++
		}
		tellRecipe(p, set, problems)
		e.weighed = weighedParts(p, e.slurry, problems)
		oddBalance(p, e.usable, e.weighed, e.needed, set, problems)
		b.entries = append(b.entries, e)
	}
	b.habits = habitsOf(b.entries, set)
	for i := range b.entries {
		e := &b.entries[i]
		e.balance = balanceOf(e.PlasterKg, e.usable, e.weighed, e.needed, b.habits, set)
	}
	if noOutcome > 0 {
		problems.rows = append(problems.rows, tables.Problem{Code: "no-outcome", Severity: tables.Notice,
			Message: fmt.Sprintf("%d pours have no outcome and no mold in the log; they are taken to be good", noOutcome), Mend: "fill in outcome on the pours sheet"})
	}
	return b
}

// slurryOf is the mix of a pour. Where the water is not known, the consistency
// is that of common practice.
func slurryOf(p tables.Pour, set Settings, problems *problemList) Slurry {
	s := Slurry{Consistency: commonConsistency, PlasterDensity: set.PlasterDensity, WaterDensity: set.WaterDensity}
	if !knownWater(p) {
		problems.add(p.Origin, "water", tables.Problem{Code: "no-water", Severity: tables.ValueIgnored, Value: show(p.WaterKg),
			Message: fmt.Sprintf("pour %s does not say how much water was mixed, or it can't be this; 70 parts of water per 100 of plaster are assumed", p.Pour),
			Mend:    "correct the water mixed and its unit"})
		return s
	}
	s.Consistency = consistencyOf(p)
	oddConsistency(p, s.Consistency, problems)
	return s
}

func knownWater(p tables.Pour) bool { return p.WaterKg > 0 && p.WaterKg <= heaviestKg }

// consistencyOf is the consistency as mixed, absent where the water is not known.
func consistencyOf(p tables.Pour) float64 {
	if !knownWater(p) {
		return tables.Absent()
	}
	return 100 * p.WaterKg / p.PlasterKg
}

// cost of the waste of a pour, absent where waste or price is not known.
func (b book) cost(e entry) float64 { return b.prices.cost(e.waste, e.Date) }

// rows are the rows of the pour_waste table.
func (b book) rows() []tables.PourWaste {
	var out []tables.PourWaste
	for _, e := range b.entries {
		row := tables.PourWaste{
			Pour: e.Pour.Pour, Date: e.Date, Class: e.Class, Maker: e.Maker, PlasterKg: e.PlasterKg, NeededKg: e.needed.kg,
			InMoldKg: e.inMold, WasteKg: e.waste, WasteLower80: e.low, WasteUpper80: e.high, Cost: b.cost(e),
			LeftoverKg: e.weighed.leftover, SpilledKg: e.weighed.spilled, TrimmedKg: e.weighed.trimmed,
			FailedKg: tables.Absent(), UnexplainedKg: tables.Absent(), Consistency: consistencyOf(e.Pour),
		}
		if e.known() {
			row.MainCause, row.FailedKg, row.UnexplainedKg = e.parts.main(), e.parts.failed, e.parts.unexplained
		}
		out = append(out, row)
	}
	return out
}
