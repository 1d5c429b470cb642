package plan

import (
	"cmp"
	"math"
	"slices"

	"moldwright/pipeline/tables"
)

// choice is a kind of mold that may be poured for a form.
type choice struct {
	key    freshKey
	recipe recipe
	cost   float64 // of one, in the unit by which kinds are compared
	money  float64 // in the currency of the price list; absent without
}

// advice is the new molds for a form.
type advice struct {
	form    int
	choices []choice
	counts  []int // by choice
	first   int   // working day of the first pour
	last    int   // working day of the last
	placed  []placed
	jobs    []int // that the molds are poured for
}

func (a *advice) molds() int {
	n := 0
	for _, c := range a.counts {
		n += c
	}
	return n
}

// choicesFor are the kinds that may be poured for a form, cheapest first. Kinds
// are compared by money where plaster has a price, else by plaster, else by number.
func (p *planner) choicesFor(form int) []choice {
	if out, ok := p.choices[form]; ok {
		return out
	}
	out := p.chosenFor(form)
	p.choices[form] = out
	return out
}

func (p *planner) chosenFor(form int) []choice {
	var out []choice
	money, mass := true, true
	for _, k := range p.kindsFor(form) {
		key := freshKey{form, k}
		if fr := p.fresh[key]; fr == nil || len(fr.remaining) == 0 {
			continue
		}
		c := choice{key: key, recipe: p.making.recipeFor(p.in, p.shop.forms[form].name, k)}
		c.money = costOf(c.recipe, k, p.today, p.set.Making)
		money, mass = money && c.money > 0, mass && c.recipe.plasterKg > 0
		out = append(out, c)
	}
	for i := range out {
		switch {
		case money:
			out[i].cost = out[i].money
		case mass:
			out[i].cost = out[i].recipe.plasterKg
		default:
			out[i].cost = 1
		}
	}
	slices.SortStableFunc(out, func(a, b choice) int { return cmp.Compare(a.cost, b.cost) })
	return out
}

// pourDays are the working days of n pours from a day on, after so many others
// that take up the first days.
func (p *planner) pourDays(n, others, shift int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = (others+i)/p.making.aDay + shift
	}
	return out
}

// place puts new molds of a form into the plan.
func (p *planner) place(choices []choice, counts []int, others, shift int) []placed {
	var out []placed
	total := 0
	for _, c := range counts {
		total += c
	}
	days := p.pourDays(total, others, shift)
	for i, c := range choices {
		for _, m := range p.news(c.key, counts[i]) {
			out = append(out, placed{mold: m, poured: days[len(out)], life: m.life})
		}
	}
	return out
}

// search looks for the cheapest numbers of molds by kind with which all the jobs
// reach the goal; nil where the most that may be poured do not.
//
// More molds never make an order later but for the days that their pours take, so
// that for given numbers of the other kinds the least number of one kind is found by
// halving; the other kinds' numbers are gone through as long as they alone cost less
// than the best so far. That is exhaustive search without what cannot win.
type search struct {
	p       *planner
	sc      scenario // without the form's new molds
	choices []choice
	others  int // pours that come first
	jobs    []int
	draws   int
	late    int
	enough  func(sc scenario, draws, mostLate int, jobs []int) bool

	best     []int
	bestCost float64
}

func (s *search) run() []int {
	s.bestCost = math.Inf(1)
	s.walk(make([]int, len(s.choices)), 1, 0)
	return s.best
}

// walk goes through the numbers of the kinds from the k-th on.
func (s *search) walk(counts []int, k int, cost float64) {
	if k == len(s.choices) {
		s.least(counts, cost)
		return
	}
	for n := 0; n <= s.p.set.Making.MostMolds; n++ {
		counts[k] = n
		if cost+float64(n)*s.choices[k].cost >= s.bestCost {
			break
		}
		s.walk(counts, k+1, cost+float64(n)*s.choices[k].cost)
	}
	counts[k] = 0
}

// least finds the least number of the cheapest kind beside the others.
func (s *search) least(counts []int, cost float64) {
	high := s.p.set.Making.MostMolds
	if !math.IsInf(s.bestCost, 1) {
		high = min(high, int(math.Ceil((s.bestCost-cost)/s.choices[0].cost-1e-9))-1)
	}
	if high < 0 {
		return
	}
	enough := func(n int) bool {
		counts[0] = n
		return s.enough(s.sc.with(s.p.place(s.choices, counts, s.others, 0)...), s.draws, s.late, s.jobs)
	}
	if !enough(high) {
		counts[0] = 0
		return
	}
	low := -1 // not enough, or not tried
	for high-low > 1 {
		if mid := (low + high) / 2; enough(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	counts[0] = high
	s.best = slices.Clone(counts)
	s.bestCost = cost + float64(high)*s.choices[0].cost
	counts[0] = 0
}

// Draws by which numbers of molds are compared at first, and by which is told for
// which orders the most molds are enough.
const (
	newDraws   = 600
	reachDraws = 300
)

// lateOf is how many of the first draws may be late.
func (p *planner) lateOf(draws int) int {
	return int(float64(p.late) * float64(draws) / float64(p.set.Draws))
}

// cheapest searches with few draws, with all where the answer does not hold with
// all, and at last without settling any comparison early.
func (p *planner) cheapest(sc scenario, choices []choice, others int, jobs []int) []int {
	few := min(newDraws, p.set.Draws)
	s := search{p: p, sc: sc, choices: choices, others: others, jobs: jobs, draws: few, late: p.lateOf(few), enough: likely}
	if counts := s.run(); p.holds(sc, choices, counts, others, jobs) {
		return counts
	}
	s.draws, s.late, s.best = p.set.Draws, p.late, nil
	if counts := s.run(); p.holds(sc, choices, counts, others, jobs) {
		return counts
	}
	s.best, s.enough = nil, reaches
	return s.run()
}

// holds reports whether numbers of new molds bring all the jobs to the goal.
func (p *planner) holds(sc scenario, choices []choice, counts []int, others int, jobs []int) bool {
	return counts != nil && reaches(sc.with(p.place(choices, counts, others, 0)...), p.set.Draws, p.late, jobs)
}

// canReach are the jobs that reach the goal, in so many draws, with the most new
// molds of any one kind, or of all kinds together.
func (p *planner) canReach(sc scenario, choices []choice, others int, jobs []int, draws int) []int {
	can := map[int]bool{}
	for k := 0; k <= len(choices) && len(can) < len(jobs); k++ {
		counts := make([]int, len(choices))
		for i := range counts {
			if i == k || k == len(choices) {
				counts[i] = p.set.Making.MostMolds
			}
		}
		o := simulate(sc.with(p.place(choices, counts, others, 0)...), draws)
		for _, j := range jobs {
			if o.late(j) <= p.lateOf(draws) {
				can[j] = true
			}
		}
	}
	var out []int
	for _, j := range jobs {
		if can[j] {
			out = append(out, j)
		}
	}
	return out
}

// latest is by how many working days the pours can wait, or a few less.
func (p *planner) latest(sc scenario, choices []choice, counts []int, others int, jobs []int) int {
	known := newDelays(p.set.Draws, len(jobs))
	after := func(shift int) scenario { return sc.with(p.place(choices, counts, others, shift)...) }
	hold := func(shift, draws int, sd float64) bool {
		return settle(after(shift), draws, p.lateOf(draws), jobs, sd, delayed{known, int32(shift)})
	}
	low, high := 0, 0
	for _, j := range jobs {
		high = max(high, sc.shop.jobs[j].due+1)
	}
	few := min(newDraws, p.set.Draws)
	for high-low > 1 {
		if mid := (low + high) / 2; hold(mid, few, surely) {
			low = mid
		} else {
			high = mid
		}
	}
	// With all draws the day may have to be an earlier one. Steps grow: a few days
	// too early cost little, looking for each costs much.
	if few < p.set.Draws {
		low -= low / 10
	}
	for step := 1; low > 0 && !hold(low, p.set.Draws, math.Inf(1)); step++ {
		low = max(0, low-step)
	}
	// What was taken for granted of delays holds in all but a few draws.
	for low > 0 && !reaches(after(low), p.set.Draws, p.late, jobs) {
		low--
	}
	return low
}

// newMolds advises new molds for every form with an order under the goal, forms in
// the order of their first such order's due day; each is advised with what was
// advised before it in place. Molds of one form take days from another, so that
// forms that fell under the goal again are advised once more at the end.
func (p *planner) newMolds(sc scenario, base outcome) (all []advice, with scenario) {
	for _, f := range p.formsUnder(base) {
		if a, ok := p.adviseFor(f, together(sc, all), all); ok {
			all = append(all, a)
		}
	}
	changed := false
	for i := range all {
		// The last was advised, by all draws, with all others in place.
		settled := i+1 == len(all) && !changed
		if settled || reaches(together(sc, all), p.set.Draws, p.late, all[i].jobs) {
			continue
		}
		rest := slices.Delete(slices.Clone(all), i, i+1)
		if a, ok := p.adviseFor(all[i].form, together(sc, rest), rest); ok {
			all[i], changed = a, true
		}
	}
	return all, together(sc, all)
}

// together is the scenario with all molds advised.
func together(sc scenario, all []advice) scenario {
	for _, a := range all {
		sc = sc.with(a.placed...)
	}
	return sc
}

// formsUnder are the forms with an order under the goal that is not past, in the
// order of the first such order's due day.
func (p *planner) formsUnder(base outcome) []int {
	under := map[int]int{}
	for j, jb := range p.shop.jobs {
		if jb.due < 0 || base.onTime(j) >= p.set.Goal {
			continue
		}
		if d, seen := under[jb.form]; !seen || jb.due < d {
			under[jb.form] = jb.due
		}
	}
	var forms []int
	for f := range p.shop.forms {
		if _, ok := under[f]; ok {
			forms = append(forms, f)
		}
	}
	slices.SortStableFunc(forms, func(a, b int) int { return under[a] - under[b] })
	return forms
}

// adviseFor advises new molds for a form beside those of the others; ok is false
// where none bring an order to the goal.
func (p *planner) adviseFor(form int, sc scenario, others []advice) (a advice, ok bool) {
	choices := p.choicesFor(form)
	if len(choices) == 0 {
		return advice{}, false
	}
	before := 0
	for _, o := range others {
		before += o.molds()
	}
	var mine []int
	for j, jb := range p.shop.jobs {
		if jb.form == form && jb.due >= 0 {
			mine = append(mine, j)
		}
	}
	if len(p.shop.forms) > 1 {
		sc.beside = besides(sc, form, p.set.Draws)
	}
	of := mine
	var counts []int
	for _, draws := range []int{min(reachDraws, p.set.Draws), p.set.Draws} {
		if mine = p.canReach(sc, choices, before, of, draws); len(mine) > 0 {
			counts = p.cheapest(sc, choices, before, mine)
		}
		if len(mine) == 0 || counts != nil {
			break
		}
	}
	if counts == nil {
		return advice{}, false
	}
	a = advice{form: form, choices: choices, counts: counts, jobs: mine}
	if a.molds() == 0 {
		return advice{}, false
	}
	a.placed = p.place(choices, counts, before, p.latest(sc, choices, counts, before, mine))
	a.first = a.placed[0].poured
	for _, m := range a.placed {
		a.last = max(a.last, m.poured)
	}
	return a, true
}

// feasible is the first day by which a job is done with the goal's chance;
// NoDate where it is not within the plan.
func (p *planner) feasible(o outcome, j int) tables.Date {
	days := make([]int32, o.draws)
	for d := range o.draws {
		days[d] = o.done[d*o.jobs+j]
	}
	slices.Sort(days)
	at := days[max(0, o.draws-1-p.lateOf(o.draws))]
	if at == never {
		return tables.NoDate
	}
	return p.shop.cal.day(int(at)) + tables.Date(p.set.Losses.DaysAfterCasting)
}
