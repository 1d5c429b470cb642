package charts

import (
	"fmt"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// aboveUsual begins the verdict on a group that wastes more than chance explains.
const aboveUsual = "above"

// wasteShare draws what part of its plaster each class and term is to be expected to
// waste, beside what so many pours usually waste.
func wasteShare(_ style, res pipeline.Result) (figure, bool) {
	u := res.Settings.Units
	body := rowChart{xLabel: "waste, % of the plaster mixed", headers: []string{"wasted", "to expect (80 %)", "verdict"}}
	var alts, notes, bounds []string
	farthest, above := 0.0, 0
	for _, g := range []struct{ group, heading, many string }{
		{"class", "by class", "classes"}, {"term", "by term", "terms"},
	} {
		rows := judged(res.Plaster.By, g.group)
		if len(rows) == 0 {
			continue
		}
		shown := firstToAct(rows, mostBars, func(w tables.WasteBy) int {
			if isAbove(w) {
				return 0
			}
			return 1
		})
		notes = append(notes, leftOut(len(shown), len(rows), g.many, "tables/waste_by"))
		bounds = append(bounds, partly(len(shown), len(rows), g.many, "those above usual first"))
		group := rowGroup{heading: g.heading}
		for _, w := range shown {
			expected := fmt.Sprintf("%s (%s)", format.Percent(w.ShrunkShare), format.Interval(format.Percent(w.Lower80), format.Percent(w.Upper80)))
			group.rows = append(group.rows, row{label: groupName(w.Value), columns: []string{wasted(u, w), expected, clean(w.Verdict)}, draw: besideUsual(w)})
			farthest = max(farthest, positive(w.Upper80), positive(w.UsualUpper))
			if isAbove(w) {
				above++
			}
			alts = append(alts, fmt.Sprintf("%s: %s, to expect %s, %s.", short(groupName(w.Value)), wasted(u, w), expected, clean(w.Verdict)))
		}
		body.groups = append(body.groups, group)
	}
	if len(body.groups) == 0 {
		return figure{}, false
	}
	body.x = over(farthest, 0.1)
	body.x.percent = true
	key := []keyEntry{{bandSwatch(mist), "usual for so many pours"}, {spreadSwatch(usualMark()), "to expect, 80 % interval"}}
	if above > 0 {
		key = append(key, keyEntry{spreadSwatch(aboveMark()), "above usual"})
	}
	return figure{
		name: "waste_share", section: SectionPlaster,
		title: "Which classes and terms waste more than usual?",
		alt:   "Share of its plaster that each class and term wastes, beside what so many pours usually waste. " + listed(alts, 12, "groups"),
		note: sentences(append([]string{"The pale bar is what so many pours waste by ordinary scatter: only a mark that the verdict calls above usual says more than chance explains. What to expect leans on all pours where a group has few."},
			notes...)...),
		shown: both(bounds...), key: key, body: body,
	}, true
}

func isAbove(w tables.WasteBy) bool { return strings.HasPrefix(w.Verdict, aboveUsual) }

func usualMark() mark { return mark{disc, cobalt, 3} }
func aboveMark() mark { return mark{diamond, clay, 3.8} }

// judged are the rows of a group that have an interval, in their order; pours that do
// not say what they belong to are no group.
func judged(by []tables.WasteBy, group string) []tables.WasteBy {
	var out []tables.WasteBy
	for _, w := range by {
		if w.Group == group && groupName(w.Value) != notGiven && drawable(w.ShrunkShare) && drawable(w.Lower80) && drawable(w.Upper80) {
			out = append(out, w)
		}
	}
	return out
}

// besideUsual draws the usual range as a pale bar and what is to be expected upon it.
func besideUsual(w tables.WasteBy) func(draw.Canvas, func(float64) vg.Length) {
	return func(c draw.Canvas, at func(float64) vg.Length) {
		if drawable(w.UsualLower) && drawable(w.UsualUpper) {
			fillRect(c, mist, vg.Rectangle{Min: vg.Point{X: at(w.UsualLower), Y: c.Min.Y + 2}, Max: vg.Point{X: at(w.UsualUpper), Y: c.Max.Y - 2}})
		}
		m := usualMark()
		if isAbove(w) {
			m = aboveMark()
		}
		y := c.Center().Y
		c.StrokeLine2(spreadPen(), at(w.Lower80), y, at(w.Upper80), y)
		for _, end := range []float64{w.Lower80, w.Upper80} {
			c.StrokeLine2(spreadPen(), at(end), y-3, at(end), y+3)
		}
		m.draw(c, vg.Point{X: at(w.ShrunkShare), Y: y})
	}
}
