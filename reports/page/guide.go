package page

import (
	"slices"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// guideSection lays the dwell guide out as a sheet to tape to the wall: a row a
// mold, a column for now and for so many casts on.
func guideSection(res pipeline.Result) section {
	s := section{ID: "guide", Title: "Dwell guide", Class: "sheet"}
	if len(res.Wall.Guide) == 0 {
		return s.leftOut(res, res.Wall.WhyNot, "No mold in use has both a fitted wall and a form with a target wall")
	}
	molds := guideRows(res.Wall.Guide)
	var steps []tables.Count
	for _, m := range molds {
		for _, g := range m {
			if step := g.AgeCasts - m[0].AgeCasts; !slices.Contains(steps, step) {
				steps = append(steps, step)
			}
		}
	}
	slices.Sort(steps)
	if !res.Wall.Fitted {
		s.text("These figures are common practice, not from your own casts: %s", sentence(res.Wall.WhyNot))
	}
	s.text("Minutes from full mold to draining that give the target wall. Below them: the range that the next cast needs nine times in ten, and the mold's age (casts made before) that the figure is for.")
	t := table{
		Caption: "Dwell in minutes, log as of " + res.Settings.Days.Day(asOf(res)), Class: "guide",
		Head: append(words("Mold|form"), numbers("Target wall")...),
	}
	for _, step := range steps {
		head := "Next cast"
		if step > 0 {
			head = count(step) + " casts on"
		}
		t.Head = append(t.Head, numbers(head)...)
	}
	forms := formOfMold(res)
	urgent := map[string]int{}
	for _, r := range moldRows(res) {
		urgent[r.name] = r.urgency()
	}
	var ranks []int
	for _, m := range molds {
		ranks = append(ranks, urgent[m[0].Mold])
		r := row{Cells: []cell{of(m[0].Mold, forms[m[0].Mold]), of(res.Settings.Units.Wall(m[0].TargetWallMM))}}
		for _, step := range steps {
			r.Cells = append(r.Cells, guideCell(m, step))
		}
		t.Rows = append(t.Rows, r)
	}
	s.mostPressing(t, ranks, "molds", "the sheet “Dwell guide” of report.xlsx and in tables/dwell_guide.csv")
	if without := withoutGuide(res); len(without) > 0 {
		s.small("Not in this table, for want of a target wall or of measured casts: %s.", someNames(without))
	}
	s.small("Measure a wall now and then and log it: a new slip or a damp mold shifts these figures.")
	return s
}

// guideRows groups the guide by mold, in its own order.
func guideRows(guide []tables.DwellGuide) [][]tables.DwellGuide {
	var molds [][]tables.DwellGuide
	index := map[string]int{}
	for _, g := range guide {
		i, ok := index[g.Mold]
		if !ok {
			i = len(molds)
			index[g.Mold] = i
			molds = append(molds, nil)
		}
		molds[i] = append(molds[i], g)
	}
	return molds
}

func guideCell(mold []tables.DwellGuide, step tables.Count) cell {
	for _, g := range mold {
		if g.AgeCasts-mold[0].AgeCasts == step {
			age := labelled("age ", count(g.AgeCasts))
			if !tables.Has(g.DwellMin) {
				return of(dash, "over a day", age)
			}
			low, high := format.Dwell(g.DwellLower90), format.Dwell(g.DwellUpper90)
			between := dash
			if low != dash && high != dash {
				between = format.Interval(number(low), number(high))
			}
			return of(number(format.Dwell(g.DwellMin)), between, age)
		}
	}
	return of(dash)
}

func formOfMold(res pipeline.Result) map[string]string {
	forms := map[string]string{}
	for _, m := range res.Log.Molds {
		forms[m.Mold] = m.Form
	}
	for _, st := range res.Wall.States {
		forms[st.Mold] = st.Form
	}
	return forms
}

// withoutGuide names the molds in use that the guide does not speak of.
func withoutGuide(res pipeline.Result) []string {
	inGuide := map[string]bool{}
	for _, g := range res.Wall.Guide {
		inGuide[g.Mold] = true
	}
	var out []string
	for _, m := range moldRows(res) {
		if m.inUse() && !inGuide[m.name] {
			out = append(out, m.name)
		}
	}
	return out
}
