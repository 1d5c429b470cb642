package plan

import (
	"fmt"
	"strings"

	"moldwright/pipeline/tables"
)

// answers are the simulated outcomes that the rows of orders are filled from.
type answers struct {
	base, with outcome // with the molds in hand; with the new molds advised
	apart      []float64
	advised    []advice
	further    map[int]further // by job that new molds do not bring to the goal in time
	busy       []float64       // chance of each job if every working day were a busy one, with the most new molds of its form; nil where days are all alike
}

// further is what it takes to reach the goal later.
type further struct {
	by    tables.Date // NoDate: not within the plan
	molds []string    // new ones that it takes, in words
}

// orderRows are the rows of all orders, those that cannot be planned included.
func (p *planner) orderRows(a answers) []tables.PlanOrder {
	var out []tables.PlanOrder
	for i, w := range p.wanted {
		row := blankOrder(i, w)
		if j := p.jobOf[i]; j >= 0 {
			p.fillOrder(&row, j, w, a)
		}
		out = append(out, row)
	}
	return out
}

func blankOrder(i int, w wanted) tables.PlanOrder {
	no := tables.Absent()
	return tables.PlanOrder{
		Form: w.form, Pieces: tables.Count(w.pieces), Due: w.due, Order: tables.Count(i + 1), Start: w.start, WhyNot: w.why,
		ChanceOnTime: no, ShortP90: tables.NoCount, NewMolds: tables.NoCount, PourBy: tables.NoDate, PlasterKg: no, SlipKg: no,
		StdError: no, ChanceWithNew: no, MoldsInHand: tables.NoCount, CastsP50: tables.NoCount, FeasibleBy: tables.NoDate, ChanceAllAlone: no,
	}
}

func (p *planner) fillOrder(row *tables.PlanOrder, j int, w wanted, a answers) {
	jb := p.shop.jobs[j]
	row.Start = p.shop.cal.day(jb.start)
	row.ChanceOnTime, row.ShortP90 = a.base.onTime(j), shortP90(a.base, j)
	row.StdError = stdError(row.ChanceOnTime, a.base.draws)
	row.ChanceWithNew, row.ChanceAllAlone = a.with.onTime(j), a.apart[j]
	casts, mean := castsOf(a.with, j)
	row.CastsP50, row.SlipKg = tables.Count(casts[len(casts)/2]), mean*w.slipFor()
	row.MoldsInHand = 0
	for _, m := range p.hand {
		if m.form == jb.form {
			row.MoldsInHand++
		}
	}
	p.fillMolds(row, j, a)
	row.FeasibleBy = w.due
	if row.ChanceWithNew < p.set.Goal {
		f := a.further[j]
		row.FeasibleBy = f.by
		busy := tables.Absent()
		if a.busy != nil {
			busy = a.busy[j]
		}
		row.WhyNot = p.whyNot(row, jb, w, f, busy)
	}
}

// fillMolds names the new molds with the first order of their form that is under
// the goal without them.
func (p *planner) fillMolds(row *tables.PlanOrder, j int, a answers) {
	row.NewMolds, row.PlasterKg = 0, 0
	if row.ChanceOnTime >= p.set.Goal {
		return
	}
	for _, ad := range a.advised {
		if ad.form != p.shop.jobs[j].form {
			continue
		}
		if first := p.firstUnder(ad, a.base); first != j {
			if a.with.onTime(j) < p.set.Goal {
				break
			}
			return
		}
		row.NewMolds, row.PourBy = tables.Count(ad.molds()), p.shop.cal.day(ad.last)
		for i, c := range ad.choices {
			if ad.counts[i] > 0 {
				row.PlasterKg += float64(ad.counts[i]) * c.recipe.plasterKg
			}
		}
		return
	}
	row.NewMolds, row.PlasterKg = tables.NoCount, tables.Absent()
}

func (p *planner) firstUnder(ad advice, base outcome) int {
	first := -1
	for _, j := range ad.jobs {
		if base.onTime(j) < p.set.Goal && (first < 0 || p.shop.jobs[j].due < p.shop.jobs[first].due) {
			first = j
		}
	}
	return first
}

// whyNot says why an order cannot be promised, and what would be possible.
func (p *planner) whyNot(row *tables.PlanOrder, jb job, w wanted, f further, busy float64) string {
	var why string
	earliest := p.shop.cal.day(0) + tables.Date(p.making.lead[0])
	switch {
	case w.due < p.shop.cal.from:
		why = fmt.Sprintf("it was due on %s, before the first day of the plan, %s", w.due, p.shop.cal.from)
	case jb.due < jb.start:
		why = fmt.Sprintf("no working day is left between its start and %s", w.due)
	case row.MoldsInHand == 0 && earliest > w.due:
		why = fmt.Sprintf("no mold in use makes it, and one poured on %s is in service on %s at the earliest", p.shop.cal.day(0), earliest)
	case busy >= p.set.Goal:
		why = fmt.Sprintf("at the log's pace of %.1f casts on a working day the studio does not get to so many; with every working day as busy as its busiest in ten (%d casts) and new molds it would",
			p.rhythm.pace.mean(), p.shop.limit)
	case row.MoldsInHand == 0:
		why = "no mold in use makes it, and new molds do not give the chance in time"
	case row.ChanceAllAlone >= p.set.Goal:
		why = "the other orders take the days that it needs, and new molds do not make up for that"
	default:
		why = "the molds in use do not give the chance, and new ones do not help in time"
	}
	switch {
	case !f.by.Valid():
		why += fmt.Sprintf("; it cannot be promised for any day up to %s", p.shop.cal.until)
	case len(f.molds) > 0:
		why += fmt.Sprintf("; with %s poured from %s on it can be promised for %s", strings.Join(f.molds, " and "), p.shop.cal.day(0), f.by)
	default:
		why += fmt.Sprintf("; with the molds in hand it can be promised for %s", f.by)
	}
	return why
}

// onBusyDays are the jobs' chances with a busy day on every working day and, for
// forms with a job under the goal, the most new molds of the cheapest kind.
func (p *planner) onBusyDays(with scenario, o outcome, advised []advice) []float64 {
	some := false
	for j := range p.shop.jobs {
		some = some || o.onTime(j) < p.set.Goal
	}
	if p.shop.caps == nil || !some {
		return nil
	}
	// The rule in use may have given up what could be met on such days.
	sc := scenario{shop: p.shop.unpaced(p.shop.limit), molds: with.molds, rule: rule{kind: earliestDue}}
	others := 0
	for _, a := range advised {
		others += a.molds()
	}
	for _, f := range p.formsUnder(o) {
		if choices := p.choicesFor(f); len(choices) > 0 {
			counts := make([]int, len(choices))
			counts[0] = p.set.Making.MostMolds
			sc = sc.with(p.place(choices, counts, others, 0)...)
			others += counts[0]
		}
	}
	busy := simulate(sc, min(seekDraws, p.set.Draws))
	var out []float64
	for j := range p.shop.jobs {
		out = append(out, busy.onTime(j))
	}
	return out
}

// seekDraws are as many as a date needs.
const seekDraws = 300

// seekFurther finds, for jobs under the goal even with the molds advised, a day
// for which they can be promised beside the other orders, and what that takes.
func (p *planner) seekFurther(with scenario, o outcome, advised []advice) map[int]further {
	out := map[int]further{}
	others := 0
	for _, a := range advised {
		others += a.molds()
	}
	for j, jb := range p.shop.jobs {
		if o.onTime(j) >= p.set.Goal {
			continue
		}
		f := p.seek(with, j, p.choicesFor(jb.form), others)
		if due := p.wanted[jb.order].due; f.by.Valid() {
			f.by = max(f.by, due+1) // what is promised for a day is so for later ones
		}
		out[j] = f
	}
	return out
}

// seek plans the job as if it were due at the plan's end: with the molds at hand,
// with the most new ones of each kind, and, where these are much sooner, with the
// fewest that come near to that.
func (p *planner) seek(with scenario, j int, choices []choice, others int) further {
	draws := min(seekDraws, p.set.Draws)
	open := *with.shop
	open.jobs = append([]job{}, open.jobs...)
	open.jobs[j].due = len(p.shop.cal.days) - 1
	sc := scenario{shop: &open, molds: with.molds, rule: with.rule}
	day := func(k, n int) tables.Date {
		counts := make([]int, len(choices))
		if n > 0 {
			counts[k] = n
		}
		return p.feasible(simulate(sc.with(p.place(choices, counts, others, 0)...), draws), j)
	}
	best := further{by: day(0, 0)}
	soonest, kind := best.by, -1
	for k := range choices {
		if d := day(k, p.set.Making.MostMolds); d.Valid() && (!soonest.Valid() || d < soonest) {
			soonest, kind = d, k
		}
	}
	slack := max(2, (soonest-p.shop.cal.from)/10)
	if kind < 0 || best.by.Valid() && best.by <= soonest+slack {
		return best
	}
	low, high, by := 0, p.set.Making.MostMolds, soonest
	for high-low > 1 {
		mid := (low + high) / 2
		if d := day(kind, mid); d.Valid() && d <= soonest+slack {
			high, by = mid, d
		} else {
			low = mid
		}
	}
	return further{by: by, molds: []string{fmt.Sprintf("%d new %s %s", high, choices[kind].key.kind, plural(high, "mold"))}}
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}
