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

// wasteByCause draws the waste by cause and by class as bars.
func wasteByCause(_ style, res pipeline.Result) (figure, bool) {
	u := res.Settings.Units
	to := u.MassUnit()
	body := rowChart{xLabel: "waste, " + to.Name + " of dry plaster"}
	var alts, notes []string
	var masses [][]float64
	judged := false
	for _, g := range []struct{ group, heading, many string }{
		{"cause", "by cause", "causes"}, {"class", "by class", "classes"},
	} {
		rows := wasteRows(res.Plaster.By, g.group)
		if len(rows) == 0 {
			continue
		}
		shown := rows[:min(len(rows), mostBars)]
		notes = append(notes, leftOut(len(shown), len(rows), g.many+", those with the most waste", "tables/waste_by"))
		group := rowGroup{heading: g.heading}
		var parts []string
		for _, w := range shown {
			text := u.Mass(w.WasteKg)
			if drawable(w.WasteShare) {
				text += ", " + format.Percent(w.WasteShare)
			}
			if verdict := clean(w.Verdict); verdict != "" && w.Value != notGiven {
				text += ": " + verdict
				judged = true
			}
			f := fill{mist, plain, ink, 4}
			if g.group == "cause" {
				f = fillOf(w.Value)
			}
			group.rows = append(group.rows, row{label: groupName(w.Value), draw: bar(to.Of(positive(w.WasteKg)), f), atEnd: text, end: to.Of(positive(w.WasteKg))})
			masses = append(masses, []float64{to.Of(positive(w.WasteKg))})
			parts = append(parts, fmt.Sprintf("%s %s", short(groupName(w.Value)), text))
		}
		body.groups = append(body.groups, group)
		alts = append(alts, capital(g.heading)+": "+strings.Join(parts, "; ")+".")
	}
	if len(body.groups) == 0 {
		return figure{}, false
	}
	if judged {
		notes = append(notes, "“Usual” is what so many pours waste by ordinary scatter: only a class above usual wastes more than chance explains.")
	}
	var high float64
	for _, m := range masses {
		high = max(high, m[0])
	}
	body.x = over(high, to.Of(0.1))
	return figure{
		name: "waste_by_cause", section: SectionPlaster,
		title: "What wastes the plaster, and in which class?",
		alt:   "Waste of dry plaster. " + strings.Join(alts, " "),
		note: sentences(append([]string{"Waste is plaster in no usable mold; the percentage is its part of the plaster mixed: of all pours for a cause, of its own pours for a class."},
			notes...)...),
		body: body,
	}, true
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
