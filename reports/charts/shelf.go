package charts

import (
	"cmp"
	"fmt"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"moldwright/pipeline"
	"moldwright/pipeline/watch"
)

// statusMark tells the states of a mold apart by shape first.
func statusMark(status string) mark {
	switch status {
	case watch.Flagged:
		return mark{diamond, clay, 4}
	case watch.Closing:
		return mark{triangle, ochre, 4}
	case watch.Fine:
		return mark{disc, cobalt, 3.2}
	}
	return mark{ring, stone, 3}
}

const widestForm = vg.Length(300)

// shelfOverview shows every mold in use at a glance: casts made, casts left, and
// whether it needs attention.
func shelfOverview(s style, res pipeline.Result) (figure, bool) {
	all := res.Watch.Shelf
	if len(all) == 0 {
		return figure{}, false
	}
	rank := urgency(res)
	shown := firstToAct(all, mostRows, func(p watch.Place) int { return rank(p.Mold) })
	headed := shelfHeight(shown) <= tallestShelf
	farthest := 0.0
	for _, p := range shown {
		reach := float64(p.AgeCasts)
		if drawable(p.RemainingP50) {
			reach += 1.6 * p.RemainingP50
		}
		farthest = max(farthest, reach)
	}
	x := over(farthest, 10)
	x.whole = true
	body := rowChart{x: x, xLabel: "casts, from the mold's first", headers: []string{"made", "left, middle (80 %)", "status"}}
	counts := map[string]int{}
	var alts []string
	for _, p := range all {
		counts[p.Status]++
	}
	for _, p := range shown {
		heading, label := cmp.Or(shorten(s.heading, p.Form, widestForm), "form not logged"), p.Mold
		if !headed {
			heading, label = "", sentences(p.Mold, p.Form)
		}
		if n := len(body.groups); n == 0 || body.groups[n-1].heading != heading {
			body.groups = append(body.groups, rowGroup{heading: heading})
		}
		g := &body.groups[len(body.groups)-1]
		g.rows = append(g.rows, row{
			label: label, columns: []string{fmt.Sprint(p.AgeCasts), leftWords(p), p.Status}, draw: courseOf(p, x),
		})
		alts = append(alts, fmt.Sprintf("%s: %d casts made, %s left, %s.", short(p.Mold), p.AgeCasts, leftWords(p), p.Status))
	}
	key := []keyEntry{{bandSwatch(mist), "casts made"}, {lineSwatch(spreadPen()), "where its end is expected, 80 %"}}
	var totals []string
	for _, status := range []string{watch.Flagged, watch.Closing, watch.Fine, watch.Unknown} {
		if counts[status] > 0 {
			totals = append(totals, fmt.Sprintf("%s: %s", status, counted(counts[status], "mold", "molds")))
		}
	}
	return figure{
		name: "shelf", section: SectionWatch,
		title: "How does the shelf stand today?",
		alt:   fmt.Sprintf("%s in use. ", counted(len(all), "mold", "molds")) + capital(strings.Join(totals, ", ")) + ". " + listed(alts, 14, "molds"),
		note: sentences("A bar is what a mold has made; its mark stands at today and tells its status by shape. The line is where its end is expected.",
			capital(strings.Join(totals, ", "))+".", leftOut(len(shown), len(all), "molds, those that need action first", "tables/mold_state")),
		shown: partly(len(shown), len(all), "molds", actionFirst), key: key, body: body,
	}, true
}

// tallestShelf is what a page holds of the rows with their headings. Where many forms
// have a mold or two each there are none: the form stands beside the mold.
const tallestShelf = vg.Length(520)

func shelfHeight(shown []watch.Place) vg.Length {
	h := vg.Length(len(shown)) * rowHeight
	for i, p := range shown {
		if i == 0 || p.Form != shown[i-1].Form {
			h += lineHeight + 3 + groupGap
		}
	}
	return h
}

// courseOf draws a mold's casts made as a bar, the range of its end as a line, and its
// status as a mark between.
func courseOf(p watch.Place, x scale) func(draw.Canvas, func(float64) vg.Length) {
	return func(c draw.Canvas, at func(float64) vg.Length) {
		y, now := c.Center().Y, float64(p.AgeCasts)
		fillRect(c, mist, vg.Rectangle{Min: vg.Point{X: at(0), Y: c.Min.Y + 3.5}, Max: vg.Point{X: at(now), Y: c.Max.Y - 3.5}})
		if drawable(p.RemainingP10) && drawable(p.RemainingP90) {
			low, high := now+p.RemainingP10, now+p.RemainingP90
			c.StrokeLine2(spreadPen(), at(low), y, at(high), y)
			c.StrokeLine2(spreadPen(), at(low), y-3, at(low), y+3)
			if high <= x.hi {
				c.StrokeLine2(spreadPen(), at(high), y-3, at(high), y+3)
			}
		}
		statusMark(p.Status).draw(c, vg.Point{X: at(now), Y: y})
	}
}
