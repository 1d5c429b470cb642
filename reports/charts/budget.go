package charts

import (
	"fmt"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// budget draws the plaster that each class will need in the coming period.
func budget(_ style, res pipeline.Result) (figure, bool) {
	var all []tables.Budget
	for _, b := range res.Plaster.Budget {
		if drawable(b.PlasterKgP50) || drawable(b.PlasterKgP10) && drawable(b.PlasterKgP90) {
			all = append(all, b)
		}
	}
	if len(all) == 0 {
		return figure{}, false
	}
	shown := all[:min(len(all), mostRows)]
	u := res.Settings.Units
	to := u.MassUnit()
	var high float64
	for _, b := range shown {
		high = max(high, to.Of(positive(b.PlasterKgP50)), to.Of(positive(b.PlasterKgP90)))
	}
	x := over(high, to.Of(1))
	body := rowChart{x: x, xLabel: "dry plaster, " + to.Name, headers: []string{"middle (80 % interval)", "to buy"}}
	var group rowGroup
	var alts []string
	forecast := mark{square, cobalt, 3.4}
	for _, b := range shown {
		text := aboutMass(u, b.PlasterKgP50)
		if drawable(b.PlasterKgP10) && drawable(b.PlasterKgP90) {
			text = fmt.Sprintf("%s (%s)", text, format.Interval(aboutMass(u, b.PlasterKgP10), aboutMass(u, b.PlasterKgP90)))
		}
		bags := format.Dash
		if b.Bags != tables.NoCount {
			bags = counted(int(b.Bags), "bag", "bags")
		}
		group.rows = append(group.rows, row{
			label: groupName(b.Class), columns: []string{text, bags},
			draw: interval(x, to.Of(b.PlasterKgP10), to.Of(b.PlasterKgP50), to.Of(b.PlasterKgP90), forecast),
		})
		alts = append(alts, fmt.Sprintf("%s: %s, %s.", short(groupName(b.Class)), text, bags))
	}
	body.groups = []rowGroup{group}
	period := clean(all[0].Period)
	if period != "" {
		period = " (" + period + ")"
	}
	note := "The mark is the middle forecast; the need falls in the line four times in five."
	if res.Plaster.BagKg > 0 && drawable(res.Plaster.BagKg) {
		note += " A bag holds " + u.Bag(res.Plaster.BagKg) + "; enough bags are counted to last in nine terms of ten."
	}
	return figure{
		name: "budget", section: SectionPlaster,
		title: "How much plaster will each class need?",
		alt:   "Plaster needed in the coming period" + period + ", by class: middle forecast and 80 % interval. " + listed(alts, 10, "classes"),
		note:  sentences(note, leftOut(len(shown), len(all), "classes", "tables/budget")),
		shown: partly(len(shown), len(all), "classes", ""),
		key:   []keyEntry{{spreadSwatch(forecast), "middle forecast and 80 % interval" + period}},
		body:  body,
	}, true
}

// aboutMass writes a forecast mass in kg to the two digits that are known of it at most.
func aboutMass(u format.Units, kg float64) string {
	if !drawable(kg) {
		return format.Dash
	}
	return u.About(kg)
}
