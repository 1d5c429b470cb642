package charts

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// mostBars is how many bars one group of a bar chart shows.
const mostBars = 16

// wasteByCause draws the waste by cause as bars. What was weighed is certain to the
// scale; the rest is the bar of what nobody can explain.
func wasteByCause(_ style, res pipeline.Result) (figure, bool) {
	u := res.Settings.Units
	to := u.MassUnit()
	rows := wasteRows(res.Plaster.By, "cause")
	if len(rows) == 0 {
		return figure{}, false
	}
	shown := rows[:min(len(rows), mostBars)]
	var group rowGroup
	var parts []string
	for _, w := range shown {
		text := wasted(u, w)
		mass := to.Of(positive(w.WasteKg))
		group.rows = append(group.rows, row{label: groupName(w.Value), draw: bar(mass, fillOf(w.Value)), atEnd: text, end: mass})
		parts = append(parts, fmt.Sprintf("%s %s", short(groupName(w.Value)), text))
	}
	return figure{
		name: "waste_by_cause", section: SectionPlaster,
		title: "What wastes the plaster?",
		alt:   "Waste of dry plaster by cause: " + strings.Join(parts, "; ") + ".",
		note: sentences("Waste is plaster in no usable mold; the percentage is its part of all plaster mixed.",
			leftOut(len(shown), len(rows), "causes, those with the most waste", "tables/waste_by")),
		shown: partly(len(shown), len(rows), "causes", "those with the most waste"),
		body: rowChart{
			x: over(to.Of(positive(shown[0].WasteKg)), to.Of(0.1)), xLabel: "waste, " + to.Name + " of dry plaster", groups: []rowGroup{group},
		},
	}, true
}

// wasted writes a mass of waste with its part of what was mixed.
func wasted(u format.Units, w tables.WasteBy) string {
	text := u.Mass(w.WasteKg)
	if drawable(w.WasteShare) {
		text += ", " + format.Percent(w.WasteShare)
	}
	return text
}

// notGiven names the pours that do not say what they are grouped by.
const notGiven = "not given"

// wasteRows are the rows of a group with a known waste, the largest first.
func wasteRows(by []tables.WasteBy, group string) []tables.WasteBy {
	var out []tables.WasteBy
	for _, b := range by {
		if b.Group == group && drawable(b.WasteKg) {
			out = append(out, b)
		}
	}
	if group == "class" && len(out) == 1 && groupName(out[0].Value) == notGiven {
		return nil // one bar for all pours says nothing
	}
	slices.SortStableFunc(out, func(a, b tables.WasteBy) int { return cmp.Compare(b.WasteKg, a.WasteKg) })
	return out
}

func groupName(value string) string {
	if clean(value) == "" {
		return notGiven
	}
	return value
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
