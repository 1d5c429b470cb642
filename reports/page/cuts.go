package page

import (
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
	u := res.Settings.Units
	s.heading("How deep to saw")
	s.text("The deepest saw cut at each height for a split mold: two thirds of the smallest gap, and never nearer the model than %s. The table is only as good as the measured gaps: stop short where in doubt. Thin gaps are under %s. Clamp the mold, keep hands clear of the line of the blade, and see the cautions above.",
		u.Ruler(res.Settings.Plaster.SawMargin()), u.Ruler(thinnestGapMM))
	shown := pours[:min(len(pours), cutTables)]
	for _, p := range shown {
		t := table{Caption: "Pour " + p + labelled(", ", res.Settings.Days.Day(day(p))), Class: "cut", Head: numbers("Height|above the board", "Gap|smallest", "Cut no deeper than|rounded down")}
		for _, c := range byPour[p] {
			t.Rows = append(t.Rows, row{Cells: []cell{of(u.Ruler(c.HeightMM), besideMetric(u, format.InchesDown(c.HeightMM, 16))), of(u.Ruler(c.GapMM), thin(c.GapMM)), of(depth(u, c.CutMM), besideMetric(u, depthInches(c.CutMM)))}})
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
func depth(u format.Units, mm float64) string {
	if mm <= 0 {
		return "do not saw"
	}
	return u.RulerDown(mm)
}

// besideMetric is a length in inches that stands below the metric one: nothing
// where the report is in inches itself.
func besideMetric(u format.Units, inches string) string {
	if u == format.US {
		return ""
	}
	return inches
}
