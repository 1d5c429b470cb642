package charts

import (
	"fmt"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// mostWhatIf is how many orders the chart of alternatives shows.
const mostWhatIf = 5

// planWhatIf draws what each alternative makes of an order's chance. Orders that
// come in time as planned need none and stay out, unless all do.
func planWhatIf(s style, res pipeline.Result) (figure, bool) {
	of, orders := alternativesOf(res.Plan.WhatIf)
	var wanting []tables.Count
	for _, o := range orders {
		if of[o][0].ChanceOnTime < res.Settings.Plan.Goal {
			wanting = append(wanting, o)
		}
	}
	if len(wanting) == 0 {
		wanting = orders
	}
	if len(wanting) == 0 {
		return figure{}, false
	}
	shown := wanting[:min(len(wanting), mostWhatIf)]
	body := rowChart{x: chanceScale(), xLabel: "chance on time, %", headers: []string{"chance", "change"}, widest: 205}
	var alts []string
	for _, o := range shown {
		ways := of[o]
		group := rowGroup{heading: shorten(s.heading, orderLabel(o, ways[0].Form), figureWidth-2*margin)}
		for _, w := range ways[1:] {
			change := format.Dash
			if drawable(w.Gain) {
				change = signedPoints(w.Gain)
			}
			group.rows = append(group.rows, row{
				label: w.Alternative, columns: []string{format.Chance(w.ChanceOnTime), change},
				draw: twoChances(ways[0].ChanceOnTime, w.ChanceOnTime, res.Settings.Plan.Goal),
			})
			alts = append(alts, fmt.Sprintf("%s, %s: %s.", short(orderLabel(o, w.Form)), w.Alternative, format.Chance(w.ChanceOnTime)))
		}
		body.groups = append(body.groups, group)
	}
	return figure{
		name: "plan_whatif", section: SectionPlan,
		title: "What would change the odds?",
		alt:   "Chance on time of each order under each alternative, one change at a time. " + listed(alts, 12, "alternatives"),
		note: sentences("One change at a time, otherwise with the molds in hand, on the same simulated draws.",
			leftOut(len(shown), len(orders), "orders, those short of the goal", "tables/plan_whatif")),
		shown: partly(len(shown), len(wanting), "orders short of the goal", ""),
		key: []keyEntry{
			{markSwatch(asItIsMark()), "as planned"}, {markSwatch(betterMark()), "with the change"},
			{uprightSwatch(limitPen()), "goal, " + format.Percent(res.Settings.Plan.Goal)},
		},
		body: body,
	}, true
}

// alternativesOf sorts the alternatives by order; the first of each is as
// planned. Orders without a chance or without an alternative are left out.
func alternativesOf(all []tables.PlanWhatIf) (of map[tables.Count][]tables.PlanWhatIf, orders []tables.Count) {
	of = map[tables.Count][]tables.PlanWhatIf{}
	var seen []tables.Count
	for _, w := range all {
		if of[w.Order] == nil {
			seen = append(seen, w.Order)
		}
		of[w.Order] = append(of[w.Order], w)
	}
	for _, o := range seen {
		if len(of[o]) > 1 && drawable(of[o][0].ChanceOnTime) {
			orders = append(orders, o)
		}
	}
	return of, orders
}

// signedPoints writes a change of a chance in points of percent.
func signedPoints(gain float64) string {
	s := format.Fixed(100*gain, 0)
	switch {
	case s == "0":
		return "none"
	case s == "1":
		return "+1 point"
	case s == "−1":
		return "−1 point"
	case gain > 0:
		return "+" + s + " points"
	}
	return s + " points"
}
