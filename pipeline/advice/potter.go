package advice

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/format"
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// potter says what to do at the casting bench: dwells, molds that have become
// too slow, and whether the molds in hand can make the orders.
func potter(in Input) []Item {
	items := dwells(in)
	items = append(items, orders(in)...)
	return append(items, tooSlow(in)...)
}

// dwells tells the dwell of the next cast for each form, in one item.
func dwells(in Input) []Item {
	form := formOf(in.Log)
	first := map[string][]tables.DwellGuide{}
	var forms []string
	seen := map[string]bool{}
	for _, g := range in.Wall.Guide {
		if seen[g.Mold] || !tables.Has(g.DwellMin) {
			continue
		}
		seen[g.Mold] = true
		f := form[g.Mold]
		if first[f] == nil {
			forms = append(forms, f)
		}
		first[f] = append(first[f], g)
	}
	if len(forms) == 0 {
		return nextWalls(in)
	}
	slices.Sort(forms)
	var parts []string
	for _, f := range forms {
		quick := slices.MinFunc(first[f], func(a, b tables.DwellGuide) int { return cmp.Compare(a.DwellMin, b.DwellMin) })
		slow := slices.MaxFunc(first[f], func(a, b tables.DwellGuide) int { return cmp.Compare(a.DwellMin, b.DwellMin) })
		what := fmt.Sprintf("%s (%s)", format.Dwell(quick.DwellMin), quick.Mold)
		if len(first[f]) > 1 {
			what = fmt.Sprintf("%s (%s) to %s (%s)", format.Dwell(quick.DwellMin), quick.Mold, format.Dwell(slow.DwellMin), slow.Mold)
		}
		parts = append(parts, fmt.Sprintf("%s %s for %s", f, what, in.Units.Wall(quick.TargetWallMM)))
	}
	finding := "The next casts need: " + strings.Join(parts, "; ") + "."
	if !in.Wall.Fitted {
		finding += " This is common practice, not your own data."
	}
	return []Item{{For: ForPotter, Finding: finding, Do: "Take each mold's own dwell, with its range, from the dwell guide and tape it to the wall.", Sheet: SheetDwell}}
}

// toldWalls bounds how many molds are told one by one.
const toldWalls = 6

// nextWalls tells what wall comes next where no form has a target wall.
func nextWalls(in Input) []Item {
	var parts []string
	more := 0
	for _, s := range in.Wall.States {
		switch {
		case !tables.Has(s.NextWallMM):
		case len(parts) == toldWalls:
			more++
		default:
			parts = append(parts, fmt.Sprintf("%s %s in %s (90 %% interval %s)", s.Mold, in.Units.Wall(s.NextWallMM), format.Dwell(s.UsualDwellMin),
				format.Interval(in.Units.Wall(s.NextWallLower90), in.Units.Wall(s.NextWallUpper90))))
		}
	}
	if len(parts) == 0 {
		return nil
	}
	finding := "The next walls at the usual dwell: " + strings.Join(parts, "; ")
	if more > 0 {
		finding += fmt.Sprintf("; and %d more molds", more)
	}
	return []Item{{For: ForPotter, Finding: finding + ".", Do: "Give each form a target wall on the forms sheet, and the report turns this into minutes to leave the slip in.", Sheet: SheetMolds}}
}

// tooSlow names molds whose next cast needs more than the form's longest dwell.
func tooSlow(in Input) []Item {
	form := formOf(in.Log)
	longest := map[string]float64{}
	for _, f := range in.Studio.Forms.Rows() {
		longest[history.Fold(f.Form)] = f.LongestDwellMin
	}
	var items []Item
	seen := map[string]bool{}
	for _, g := range in.Wall.Guide {
		limit, ok := longest[history.Fold(form[g.Mold])]
		if seen[g.Mold] || !in.Wall.Fitted {
			continue
		}
		seen[g.Mold] = true
		if !ok || !tables.Has(limit) || (tables.Has(g.DwellMin) && g.DwellMin <= limit) {
			continue
		}
		needs := "more than a day"
		if tables.Has(g.DwellMin) {
			needs = fmt.Sprintf("%s (90 %% interval %s)", told(g.DwellMin, limit), format.Interval(format.Dwell(g.DwellLower90), format.Dwell(g.DwellUpper90)))
		}
		items = append(items, Item{
			For: ForPotter, Urgent: true, Sheet: SheetDwell, About: g.Mold,
			Finding: fmt.Sprintf("%s now needs %s for %s, past the longest dwell of %s.", g.Mold, needs, in.Units.Wall(g.TargetWallMM), format.Dwell(limit)),
			Do:      "Dry it fully and measure one more cast; if that is slow too, retire it.",
			Brief:   fmt.Sprintf("%s needs %s for %s, past its longest dwell", g.Mold, cmp.Or(brieflyDwell(g.DwellMin, limit), "more than a day"), in.Units.Wall(g.TargetWallMM)),
		})
	}
	return items
}

// brieflyDwell is told for a dwell that is known, "" for others.
func brieflyDwell(dwell, limit float64) string {
	if !tables.Has(dwell) {
		return ""
	}
	return told(dwell, limit)
}

// told writes a dwell so that it reads as longer than the limit it exceeds.
func told(dwell, limit float64) string {
	if s := format.Dwell(dwell); s != format.Dwell(limit) {
		return s
	}
	return "a little more than " + format.Dwell(limit)
}

func formOf(log history.Log) map[string]string {
	form := map[string]string{}
	for _, m := range log.Molds {
		form[m.Mold] = m.Form
	}
	return form
}
