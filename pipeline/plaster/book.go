package plaster

import (
	"fmt"

	"moldwright/pipeline/tables"
)

// entry is one pour with all that was worked out for it.
type entry struct {
	tables.Pour
	number     int32  // of the pour, see links
	own        int32  // number of the mold that it was to make, 0 where it names none
	kind, form string // of its mold, "" where not known
	slurry     Slurry
	filling    filling
	needed     mass
	usable     bool
	balance
}

// made are the numbers of the molds that the entry's pour made.
func (b book) made(e *entry) []int32 { return b.links.madeBy(e.number) }

// book holds the pours, oldest first, and what they are joined with.
type book struct {
	entries []entry
	links   links
	prices  priceList
	habits  habits
	set     Settings
}

func newBook(entries []entry, gaps []*gapTable, l links, prices priceList, set Settings, problems *problemList) book {
	b := book{links: l, prices: prices, set: set, entries: entries}
	tableOf := map[int32]*gapTable{}
	for _, g := range gaps {
		if pour, ok := l.pourOf[fold(g.pour)]; ok {
			tableOf[pour] = g
		}
	}
	noOutcome := 0
	for i := range b.entries {
		e := &b.entries[i]
		p := e.Pour
		e.slurry = slurryOf(p, set, problems)
		e.filling, e.needed = neededFor(p, e.slurry, tableOf[e.number], set, problems)
		e.kind, e.form = b.links.kindAndForm(e.own, e.number)
		used := b.links.usedMold(e.number)
		e.usable = isGood(p) || used
		if p.Outcome == "" && !used {
			noOutcome++
		}
		tellRecipe(p, set, problems)
		e.weighed = weighedParts(p, e.slurry, problems)
		oddBalance(p, e.usable, e.weighed, e.needed, set, problems)
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
func (b book) cost(e *entry) float64 { return b.prices.cost(e.waste, e.Date) }

// rows are the rows of the pour_waste table.
func (b book) rows() []tables.PourWaste {
	out := make([]tables.PourWaste, 0, len(b.entries))
	for i := range b.entries {
		e := &b.entries[i]
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
