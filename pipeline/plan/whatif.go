package plan

import (
	"math"
	"slices"

	"moldwright/pipeline/tables"
)

// Alternatives of the what-if table.
const (
	AsPlanned    = "as planned"
	TwoMoreMolds = "two more molds of each form, poured at once"
	OneMoreCast  = "one more cast a day with each mold"
	MoreByStudio = "a quarter more casts a day in all"
	EveryDayBusy = "every working day as busy as the busiest in ten"
	LongerDwell  = "longest dwell a quarter longer"
	AWeekLater   = "due a week later"
	longerBy     = 1.25
	moreByStudio = 1.25
	twoMore      = 2
	weekDays     = 7
)

// alternative is a scenario beside the plan, with the jobs to which it is open.
type alternative struct {
	name   string
	sc     scenario
	open   func(job int) bool
	due    func(job int) tables.Date
	limits bool // whether nothing but the days' limits is changed
}

// alternatives lists what could be done otherwise, each alone, against the plan
// with the molds in hand.
func (p *planner) alternatives(sc scenario) []alternative {
	every := func(int) bool { return true }
	due := func(j int) tables.Date { return p.wanted[p.shop.jobs[j].order].due }
	out := []alternative{{name: AsPlanned, sc: sc, open: every, due: due}}
	if more := p.twoMore(); len(more) > 0 {
		pourable := map[int]bool{}
		for _, m := range more {
			pourable[m.form] = true
		}
		out = append(out, alternative{name: TwoMoreMolds, sc: sc.with(more...), open: func(j int) bool { return pourable[sc.shop.jobs[j].form] }, due: due})
	}
	faster := *sc.shop
	faster.forms = slices.Clone(faster.forms)
	for f := range faster.forms {
		faster.forms[f].slots++
	}
	out = append(out, alternative{name: OneMoreCast, sc: scenario{shop: &faster, molds: sc.molds, rule: sc.rule}, open: every, due: due})
	if sc.shop.limit < noLimit {
		out = append(out, alternative{name: MoreByStudio, sc: scenario{shop: p.bigger(sc.shop), molds: sc.molds, rule: sc.rule}, open: every, due: due, limits: true})
	}
	if sc.shop.caps != nil {
		out = append(out, alternative{name: EveryDayBusy, sc: scenario{shop: sc.shop.unpaced(sc.shop.limit), molds: sc.molds, rule: sc.rule}, open: every, due: due, limits: true})
	}
	if longer, changed := p.longerDwell(sc); longer.molds != nil {
		out = append(out, alternative{name: LongerDwell, sc: longer, open: func(j int) bool { return changed[sc.shop.jobs[j].form] }, due: due})
	}
	later := *sc.shop
	later.jobs = slices.Clone(later.jobs)
	for j := range later.jobs {
		later.jobs[j].due = p.dueDay(due(j) + weekDays)
	}
	return append(out, alternative{name: AWeekLater, sc: scenario{shop: &later, molds: sc.molds, rule: sc.rule}, open: every, due: func(j int) tables.Date { return due(j) + weekDays }})
}

// bigger is the studio with a quarter more casts a day.
func (p *planner) bigger(sh *shop) *shop {
	if sh.caps == nil {
		return sh.unpaced(int(math.Ceil(moreByStudio * float64(sh.limit))))
	}
	return sh.paced(scaled(sh.caps, moreByStudio, p.world.stream("bigger studio")))
}

// twoMore are two more molds of each form, of the kind that is cheapest.
func (p *planner) twoMore() []placed {
	var out []placed
	for f := range p.shop.forms {
		choices := p.choicesFor(f)
		if len(choices) == 0 {
			continue
		}
		counts := make([]int, len(choices))
		counts[0] = twoMore
		out = append(out, p.place(choices, counts, len(out), 0)...)
	}
	return out
}

// longerDwell is the scenario with the lives that molds have when they may be
// filled for longer, and the forms that this can change. Lives are taken rank for
// rank, so that no draw changes but for the dwell.
func (p *planner) longerDwell(sc scenario) (scenario, map[int]bool) {
	changed := map[int]bool{}
	for _, w := range p.wanted {
		for f := range p.shop.forms {
			if p.shop.forms[f].name == w.form && w.sheet.LongestDwellMin > 0 && w.targetMM > 0 {
				changed[f] = true
			}
		}
	}
	if len(changed) == 0 || len(sc.molds) == 0 || len(p.look.InUse) < 2 {
		return scenario{}, nil
	}
	now, longer := p.look.InUse[0], p.look.InUse[1]
	row := map[string]int{}
	for i, r := range p.in.Life.Remaining {
		row[r.Mold] = i
	}
	out := scenario{shop: sc.shop, rule: sc.rule}
	for _, m := range sc.molds {
		i, ok := row[m.name]
		if ok && i < len(now) && i < len(longer) {
			m.life = lengthened(m.life, p.in.Life.Draws[i], now[i], longer[i], p.mostOf(m.form))
			m.mold = p.world.extended(m.mold, m.life, p.kept())
		}
		out.molds = append(out.molds, m)
	}
	return out, changed
}

// lengthened adds to each life what the same rank of the forecast gains.
func lengthened(lives []int32, sample, now, longer []float64, most int) []int32 {
	out := make([]int32, len(lives))
	for d, l := range lives {
		at, _ := slices.BinarySearch(sample, float64(l))
		u := (float64(at) + 0.5) / float64(len(sample))
		i, k := int(u*float64(len(now))), int(u*float64(len(longer)))
		gain := max(0, longer[min(k, len(longer)-1)]-now[min(i, len(now)-1)])
		out[d] = min(l+int32(math.Round(gain)), int32(most))
	}
	return out
}

// whatIf simulates the alternatives on the plan's draws.
func (p *planner) whatIf(sc scenario, base outcome) []tables.PlanWhatIf {
	var out []tables.PlanWhatIf
	for _, a := range p.alternatives(sc) {
		o := base
		switch {
		case a.limits && !sc.rule.changes():
			o = simulateLike(a.sc, sc, base)
		case a.name != AsPlanned:
			o = simulate(a.sc, p.set.Draws)
		}
		for j := range p.shop.jobs {
			row := tables.PlanWhatIf{
				Alternative: a.name, Order: tables.Count(p.shop.jobs[j].order + 1), Form: p.shop.forms[p.shop.jobs[j].form].name, Due: a.due(j),
				ChanceOnTime: tables.Absent(), ShortP90: tables.NoCount, Gain: tables.Absent(), GainStdError: tables.Absent(),
			}
			if a.open(j) {
				row.ChanceOnTime, row.ShortP90 = o.onTime(j), shortP90(o, j)
				row.Gain, row.GainStdError = gain(o, base, j)
			}
			out = append(out, row)
		}
	}
	return out
}

// gain is the difference of two chances on the same draws, with its standard
// error from the draws that differ.
func gain(o, base outcome, j int) (diff, se float64) {
	better, worse := 0.0, 0.0
	for d := range o.draws {
		x, y := o.short[d*o.jobs+j] == 0, base.short[d*base.jobs+j] == 0
		switch {
		case x && !y:
			better++
		case y && !x:
			worse++
		}
	}
	n := float64(o.draws)
	diff = (better - worse) / n
	return diff, math.Sqrt(max(0, (better+worse)/n-diff*diff) / n)
}
