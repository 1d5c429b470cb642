package page

import (
	"math"
	"slices"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// cutTables is how many pours get a cut-depth table on the page: the newest,
// since an old mold has been sawn long ago.
const cutTables = 12

// cuts adds one small table a pour, to tape to the saw bench.
func cuts(s *section, res pipeline.Result) {
	byPour := map[string][]tables.CutDepth{}
	var pours []string
	lost := map[string]bool{} // with the mold lost there is nothing to saw
	for _, p := range res.Plaster.Pours {
		lost[p.Pour] = p.FailedKg > 0
	}
	for _, c := range res.Plaster.Cuts {
		if lost[c.Pour] {
			continue
		}
		if byPour[c.Pour] == nil {
			pours = append(pours, c.Pour)
		}
		byPour[c.Pour] = append(byPour[c.Pour], c)
	}
	if len(pours) == 0 {
		return
	}
	days := map[string]tables.Date{}
	for _, p := range res.Plaster.Pours {
		days[p.Pour] = p.Date
	}
	day := func(pour string) tables.Date {
		if d, ok := days[pour]; ok {
			return d
		}
		return tables.NoDate
	}
	slices.SortStableFunc(pours, func(a, b string) int { return int(day(b)) - int(day(a)) })
	s.heading("How deep to saw")
	s.text("The deepest saw cut at each height for a split mold: two thirds of the smallest gap, and never nearer the model than %s. The table is only as good as the measured gaps: stop short where in doubt. Thin gaps are under 25 mm. Clamp the mold, keep hands clear of the line of the blade, and see the cautions above.",
		format.Fixed(res.Settings.Plaster.SawMargin(), 0)+" mm")
	shown := pours[:min(len(pours), cutTables)]
	for _, p := range shown {
		t := table{Caption: "Pour " + p + labelled(", ", format.Day(day(p))), Class: "cut", Head: numbers("Height|above the board", "Gap|smallest", "Cut no deeper than|rounded down")}
		for _, c := range byPour[p] {
			t.Rows = append(t.Rows, row{Cells: []cell{of(millimetres(c.HeightMM), format.InchesDown(c.HeightMM, 16)), of(millimetres(c.GapMM), thin(c.GapMM)), of(depth(c.CutMM), depthInches(c.CutMM))}})
		}
		s.table(t)
	}
	if left := len(pours) - len(shown); left > 0 {
		s.small("These are the newest %s; those of %s before stand in tables/cut_depth.csv.", plural(len(shown), "pour", "pours"), plural(left, "pour", "pours"))
	}
}

// thinnestGapMM: plaster thinner than this breaks or soaks through; common practice, no source.
const thinnestGapMM = 25

// thin warns of a gap that is less than is good.
func thin(gapMM float64) string {
	if gapMM < thinnestGapMM {
		return "thin"
	}
	return ""
}

// depthInches is a cut as on a ruler, "" where there is none.
func depthInches(mm float64) string {
	if !(mm > 0) {
		return ""
	}
	return format.InchesDown(mm, 16)
}

// depth of a cut, rounded down; where there is no room for one, that is said in words.
func depth(mm float64) string {
	if mm <= 0 {
		return "do not saw"
	}
	return millimetres(math.Floor(mm + 1e-9))
}

// millimetres writes a length of the workshop, read with a rule, whole.
func millimetres(mm float64) string {
	if n := format.Fixed(mm, 0); n != dash {
		return n + " mm"
	}
	return dash
}
