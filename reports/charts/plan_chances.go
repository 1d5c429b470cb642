package charts

import (
	"fmt"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// Marks of the charts of the run plan.
// One may lie upon the other: the disc is small enough to leave the diamond in sight.
func asItIsMark() mark { return mark{diamond, clay, 4.8} }
func betterMark() mark { return mark{disc, cobalt, 2.1} }

// planChances draws each order's chance on time, with the molds in hand and with
// the new molds advised.
func planChances(_ style, res pipeline.Result) (figure, bool) {
	var all []tables.PlanOrder
	for _, o := range res.Plan.Orders {
		if drawable(o.ChanceOnTime) {
			all = append(all, o)
		}
	}
	if len(all) == 0 {
		return figure{}, false
	}
	shown := all[:min(len(all), mostRows)]
	goal := res.Settings.Plan.Goal
	x := chanceScale()
	body := rowChart{x: x, xLabel: "chance on time, %", headers: []string{"in hand", "with new molds", "last day"}}
	var group rowGroup
	var alts []string
	for _, o := range shown {
		with, withText := tables.Absent(), format.Dash
		if o.NewMolds > 0 && drawable(o.ChanceWithNew) {
			with = o.ChanceWithNew
			withText = fmt.Sprintf("%s (%s)", format.Chance(with), format.Molds(int(o.NewMolds)))
		}
		group.rows = append(group.rows, row{
			label:   orderLabel(o.Order, o.Form),
			columns: []string{format.Chance(o.ChanceOnTime), withText, res.Settings.Days.Day(o.Due)},
			draw:    twoChances(o.ChanceOnTime, with, goal),
		})
		alts = append(alts, fmt.Sprintf("%s: %s in hand, %s with new molds.", short(orderLabel(o.Order, o.Form)), format.Chance(o.ChanceOnTime), withText))
	}
	body.groups = []rowGroup{group}
	return figure{
		name: "plan_chances", section: SectionPlan,
		title: "Will the orders come in time?",
		alt:   fmt.Sprintf("Chance on time of %s, against a goal of %s. ", counted(len(all), "order", "orders"), format.Percent(goal)) + listed(alts, 10, "orders"),
		note: sentences("Each chance is counted over simulated runs of all orders together; new molds are those that the plan advises.",
			leftOut(len(shown), len(all), "orders", "tables/plan_orders")),
		shown: partly(len(shown), len(all), "orders", ""),
		key: []keyEntry{
			{markSwatch(asItIsMark()), "with the molds in hand"}, {markSwatch(betterMark()), "with the new molds advised"},
			{uprightSwatch(limitPen()), "goal, " + format.Percent(goal)},
		},
		body: body,
	}, true
}

// chanceScale spans all chances with room for a mark at either end.
func chanceScale() scale { return scale{lo: -0.02, hi: 1.02, percent: true} }

func orderLabel(order tables.Count, form string) string {
	if order == tables.NoCount {
		return form
	}
	return fmt.Sprintf("order %d: %s", order, form)
}

// twoChances draws a chance as it is and, where there is one, a better one, with
// a line between and the goal behind.
func twoChances(now, better, goal float64) func(draw.Canvas, func(float64) vg.Length) {
	return func(c draw.Canvas, at func(float64) vg.Length) {
		y := c.Center().Y
		if goal > 0 && goal < 1 {
			c.StrokeLine2(limitPen(), at(goal), c.Min.Y, at(goal), c.Max.Y)
		}
		if drawable(now) && drawable(better) {
			c.StrokeLine2(pen(mist, 2.4), at(now), y, at(better), y)
		}
		if drawable(now) {
			asItIsMark().draw(c, vg.Point{X: at(now), Y: y})
		}
		if drawable(better) {
			betterMark().draw(c, vg.Point{X: at(better), Y: y})
		}
	}
}
