package plan

import "math"

// Exhaustive compares the new molds advised for the first form that has any with
// the cheapest of all numbers of all kinds, up to the most that are thought of,
// tried one by one on all draws beside the molds in hand alone. It says what both
// cost, in the unit by which kinds are compared; ok is false where there is nothing
// to compare. It takes as many simulations as there are combinations, and is meant
// for checks on small cases.
func (p Plan) Exhaustive() (advised, best float64, ok bool) {
	if len(p.advised) == 0 {
		return 0, 0, false
	}
	a := p.advised[0]
	counts := make([]int, len(a.choices))
	best = math.Inf(1)
	var walk func(k int, cost float64)
	walk = func(k int, cost float64) {
		if k < len(counts) {
			for n := range p.planner.set.Making.MostMolds + 1 {
				counts[k] = n
				walk(k+1, cost+float64(n)*a.choices[k].cost)
			}
			return
		}
		if cost < best && reaches(p.in.with(p.planner.place(a.choices, counts, 0, 0)...), p.planner.set.Draws, p.planner.late, a.jobs) {
			best = cost
		}
	}
	walk(0, 0)
	for i, c := range a.choices {
		advised += float64(a.counts[i]) * c.cost
	}
	return advised, best, !math.IsInf(best, 1)
}
