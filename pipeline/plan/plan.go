// Package plan answers whether molds make a run by a day, what to pour for it
// and what to do each day: a simulation by day of all orders together, with the
// molds' remaining casts, their rejects and the pours' failures drawn from what the
// log tells.
//
// It is a pure function of tables, log, the answers about walls, lives and
// plaster, settings and seed.
package plan

import (
	"cmp"

	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Input is what a plan is made from.
type Input struct {
	Studio  tables.Studio
	Log     history.Log
	Wall    wall.Answer
	Life    life.Answer
	Plaster plaster.Answer
	Lives   life.Settings // those that Life was made with
}

// Run plans. The answer depends on nothing but its arguments.
func Run(in Input, set Settings, seed uint64) Answer { return Make(in, set, seed).Answer }

// Make plans as Run does, for someone who will follow the plan.
func Make(in Input, set Settings, seed uint64) Plan {
	asked := wantedOf(in, set)
	if len(asked) == 0 {
		return Plan{Answer: Answer{WhyNot: "there is no order: fill in the orders sheet, or ask for one with the plan command"}}
	}
	set = set.settled()
	if in.Lives.Draws == 0 {
		in.Lives = life.Defaults()
	}
	from, why := firstDay(in.Log, asked)
	some := false
	for _, w := range asked {
		some = some || w.why == ""
	}
	if why != "" || !some {
		why = cmp.Or(why, "none of the orders can be planned: see why with each")
		ans := Answer{WhyNot: why, From: tables.NoDate, Until: tables.NoDate}
		for i, w := range asked {
			ans.Orders = append(ans.Orders, blankOrder(i, w))
		}
		return Plan{Answer: ans}
	}
	p := newPlanner(in, set, seed, asked, from)
	if len(p.shop.cal.days) == 0 {
		return Plan{Answer: Answer{WhyNot: "the plan has no working day: set other working days or days off", From: tables.NoDate, Until: tables.NoDate}}
	}
	return p.answer()
}

// settled are the settings with what cannot be left open.
func (s Settings) settled() Settings {
	d := Defaults()
	if s.Draws < 1 {
		s.Draws = d.Draws
	}
	if !(s.Goal > 0 && s.Goal < 1) {
		s.Goal = d.Goal
	}
	if s.Making.MostMolds < 1 {
		s.Making.MostMolds = d.Making.MostMolds
	}
	s.Losses.DaysAfterCasting = max(0, s.Losses.DaysAfterCasting)
	return s
}

// firstDay is the day after the log; without a dated log that of the first start.
func firstDay(log history.Log, asked []wanted) (tables.Date, string) {
	if log.AsOf.Valid() && log.AsOf != 0 {
		return log.AsOf + 1, ""
	}
	first := tables.NoDate
	for _, w := range asked {
		if w.start.Valid() && (!first.Valid() || w.start < first) {
			first = w.start
		}
	}
	if !first.Valid() {
		return first, "the spreadsheets hold no date to plan from: log a cast or a pour, or give the order a start"
	}
	return first, ""
}

func (p *planner) answer() Plan {
	ans := Answer{From: p.shop.cal.from, Until: p.shop.cal.until}
	sc := p.inHand()
	var a answers
	a.apart, a.base = alone(sc, p.set.Draws)
	if sc.rule, ans.Schedule = choose(sc, a.apart, a.base); sc.rule.kind != earliestDue {
		a.base = withDays(sc, p.set.Draws)
		a.base.fill(sc)
	}
	if err := p.prepare(); err != nil {
		ans.Notes = append(ans.Notes, "New molds could not be planned: "+err.Error()+".")
	}
	var with scenario
	a.advised, with = p.newMolds(sc, a.base)
	a.with = a.base
	if len(a.advised) > 0 {
		a.with = simulate(with, p.set.Draws)
	}
	a.further = p.seekFurther(with, a.with, a.advised)
	a.busy = p.onBusyDays(with, a.with, a.advised)
	ans.Orders = p.orderRows(a)
	ans.Days = p.daySheet(with, a.with)
	ans.Mix = p.mix(a.advised)
	ans.Needs = p.needs(a.advised, a.with)
	ans.Events = p.events(ans.Mix)
	ans.Assumed = p.assumed()
	if p.set.Compare {
		ans.WhatIf = p.whatIf(sc, a.base)
	}
	ans.Simulation = p.simulation(ans)
	ans.Notes = append(p.notes(ans), ans.Notes...)
	return Plan{Answer: ans, planner: p, in: sc, with: with, advised: a.advised}
}

func (p *planner) simulation(ans Answer) Simulation {
	out := Simulation{Draws: p.set.Draws}
	tell := func(chance float64) {
		if tables.Has(chance) {
			out.StdError = max(out.StdError, stdError(chance, p.set.Draws))
		}
	}
	for _, o := range ans.Orders {
		tell(o.ChanceOnTime)
		tell(o.ChanceWithNew)
		tell(o.ChanceAllAlone)
	}
	for _, w := range ans.WhatIf {
		tell(w.ChanceOnTime)
	}
	return out
}
