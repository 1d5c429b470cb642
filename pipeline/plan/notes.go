package plan

import (
	"cmp"
	"fmt"
	"slices"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// assumed lists what the plan rests on beside the fits.
func (p *planner) assumed() []tables.PlanAssumed {
	words := func(what, of, words, by string) tables.PlanAssumed {
		return tables.PlanAssumed{What: what, Of: of, Value: tables.Absent(), Words: words, Basis: by}
	}
	out := []tables.PlanAssumed{words("working days", "", p.rhythm.weekWords(), p.rhythm.weekBy)}
	if len(p.set.Rhythm.DaysOff) > 0 {
		out = append(out, tables.PlanAssumed{What: "days off", Value: float64(len(p.set.Rhythm.DaysOff)), Unit: "d", Basis: bySet})
	}
	switch pace := p.rhythm.pace; {
	case p.shop.caps != nil:
		out = append(out,
			tables.PlanAssumed{What: "casts of a working day in all, mean", Value: pace.mean(), Unit: "casts", Basis: pace.basis()},
			tables.PlanAssumed{What: "casts of a busy day in all", Value: p.rhythm.limit.value, Unit: "casts", Basis: p.rhythm.limit.by})
	case p.rhythm.limit.value >= 1:
		out = append(out, tables.PlanAssumed{What: "most casts a day in all", Value: p.rhythm.limit.value, Unit: "casts", Basis: p.rhythm.limit.by})
	default:
		out = append(out, words("most casts a day in all", "", "as many as there are molds", byPractice))
	}
	out = append(out, tables.PlanAssumed{What: "length of a working day", Value: p.rhythm.hours.value, Unit: "h", Basis: p.rhythm.hours.by})
	for f, form := range p.shop.forms {
		out = append(out,
			tables.PlanAssumed{What: "casts of one mold in a day", Of: form.name, Value: p.slots[f].value, Unit: "casts", Basis: p.slots[f].by},
			tables.PlanAssumed{What: "rest between two casts of a mold", Of: form.name, Value: p.rest[f].value, Unit: "h", Basis: p.rest[f].by},
			tables.PlanAssumed{What: "share of casts that give no piece", Of: form.name, Value: form.lost, Basis: p.lossBasis()},
		)
	}
	lead := byLog
	switch {
	case p.set.Making.LeadDays > 0:
		lead = bySet
	case p.making.leadSeen == 0:
		lead = "common practice, no source (drying)"
	}
	out = append(out,
		words("days from pour to service", "", spanOf(p.making.lead), lead),
		words("days from a pour that fails to the next", "", spanOf(p.making.retries.again), "the log's pours of one mold, else common practice, no source"),
		tables.PlanAssumed{What: "most molds poured in a day", Value: float64(p.making.aDay), Unit: "molds", Basis: p.making.aDayBy},
	)
	for _, k := range p.kinds() {
		a, b := p.making.pours.belief(k)
		out = append(out, tables.PlanAssumed{What: "share of pours that fail and are made again", Of: k, Value: a / (a + b), Basis: p.pourBasis()})
		by := byPractice
		if _, set := p.set.Making.LabourHours[k]; set {
			by = bySet
		}
		out = append(out, tables.PlanAssumed{What: "work for one mold", Of: k, Value: hoursOf(k, p.set.Making), Unit: "h", Basis: by})
	}
	return append(out, p.assumedLosses()...)
}

// spanOf says how days spread; they ascend.
func spanOf(days []int) string {
	n := len(days)
	return fmt.Sprintf("%d to %d, usually %d", days[n/10], days[min(n-1, n*9/10)], days[n/2])
}

func (p *planner) assumedLosses() []tables.PlanAssumed {
	var out []tables.PlanAssumed
	l := p.set.Losses
	for _, s := range []struct {
		stage string
		share float64
	}{{"drying", l.Drying}, {"bisque firing", l.Bisque}, {"glaze firing", l.Glaze}} {
		if s.share > 0 && s.share <= 1 {
			out = append(out, tables.PlanAssumed{What: "share of pieces that come through " + s.stage, Value: s.share, Basis: bySet})
		}
	}
	if l.DaysAfterCasting > 0 {
		out = append(out, tables.PlanAssumed{What: "days that a piece needs after casting", Value: float64(l.DaysAfterCasting), Unit: "d", Basis: bySet})
	}
	return out
}

func (p *planner) lossBasis() string {
	if p.world.rejects.model == nil {
		return byPractice
	}
	return fmt.Sprintf("results of %d casts in the log, by mold and age", p.world.rejects.casts)
}

func (p *planner) pourBasis() string {
	if n := p.making.pours.pours[allKinds]; n > 0 {
		return fmt.Sprintf("outcomes of %d pours in the log, with common practice (1 in 10, no source) worth %.0f", n, failWeight)
	}
	return byPractice
}

// kinds are those that may be poured for any form wanted.
func (p *planner) kinds() []string {
	var out []string
	for f := range p.shop.forms {
		for _, k := range p.kindsFor(f) {
			if !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	slices.Sort(out)
	return out
}

// events are the dates to keep.
func (p *planner) events(mix []tables.PlanMix) []Event {
	var out []Event
	for _, m := range mix {
		what := fmt.Sprintf("%d %s %s of %s", m.Molds, m.Kind, plural(int(m.Molds), "mold"), m.Form)
		out = append(out,
			Event{Date: m.PourBy, What: EventPour, Form: m.Form, Kind: m.Kind, Count: int(m.Molds), Text: "Pour " + what},
			Event{Date: m.ReadyBy, What: EventReady, Form: m.Form, Kind: m.Kind, Count: int(m.Molds), Text: "Dry and in service: " + what},
		)
	}
	for j, jb := range p.shop.jobs {
		w := p.wanted[jb.order]
		what := fmt.Sprintf("%d pieces of %s (order %d)", w.pieces, w.form, jb.order+1)
		if start := p.shop.cal.day(jb.start); start.Valid() && p.shop.jobs[j].due >= jb.start {
			out = append(out, Event{Date: start, What: EventStart, Order: jb.order + 1, Form: w.form, Count: w.pieces, Text: "Begin to cast " + what})
		}
		out = append(out, Event{Date: w.due, What: EventDue, Order: jb.order + 1, Form: w.form, Count: w.pieces, Text: "Due: " + what})
	}
	slices.SortStableFunc(out, func(a, b Event) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.What, b.What), cmp.Compare(a.Order, b.Order))
	})
	return out
}

// paceNote says how days are taken to be used.
func (p *planner) paceNote() string {
	if p.shop.caps == nil {
		return "Every working day is taken to be used."
	}
	return fmt.Sprintf("The studio is taken to go on at its log's pace: %.1f casts of all molds on a working day in the mean, quiet days and days without casts as often as in the log. Who works to an order may do more: set the most casts a day, which are then made on every working day. Holidays are not foreseen: name them as days off.", p.rhythm.pace.mean())
}

// notes are what a reader must know of how the plan was made.
func (p *planner) notes(ans Answer) []string {
	out := []string{
		fmt.Sprintf("All orders were played through together, day by day, %d times. Each time every mold's end, every cast's result and every new mold's pour and drying were drawn anew from what the log tells, with all that is uncertain about it; the standard error of a chance from simulating it is %.1f percentage points at most.", ans.Simulation.Draws, 100*ans.Simulation.StdError),
		p.paceNote() + " A mold is cast from only while its order lacks pieces. Molds with the most casts left go first, so that many are left to work side by side.",
		"Good pieces count; a second does not" + map[bool]string{true: " by default, but does here as set.", false: "."}[p.set.Losses.SecondsCount],
		fmt.Sprintf("New molds are advised for a chance of %s, at the least cost in plaster, water and labour among all numbers and kinds, and for a day of pouring about as late as keeps the chance. A pour that fails is taken to be made again.", format.Percent(p.set.Goal)),
	}
	if ans.Simulation.StdError >= 0.015 {
		out = append(out, "With so few draws the chances have a standard error above 1.5 percentage points: set more draws.")
	}
	if len(ans.Mix) > 0 {
		out = append(out, "The day sheet fills the molds in hand. Once a new mold is in service and in the log, plan again: the sheet then has it, too.")
	}
	if ans.Schedule.Binding {
		out = append(out, fmt.Sprintf("Orders compete for the studio's days. They share by: %s. Mean chance on time %s, by earliest due date first %s; pieces in time %.0f of at most %.0f for anyone who knew all ends and results beforehand.",
			ans.Schedule.Rule, format.Percent(ans.Schedule.OnTime), format.Percent(ans.Schedule.EarlyDue), ans.Schedule.Pieces, ans.Schedule.MostBound))
	}
	for _, w := range p.wanted {
		if w.why == "" && w.due > p.shop.cal.until {
			out = append(out, fmt.Sprintf("The plan ends on %s; %s due later is planned as if due on its last day.", p.shop.cal.until, w.form))
		}
	}
	return out
}
