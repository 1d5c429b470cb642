package ingest

import (
	"slices"

	"moldwright/pipeline/tables"
)

// castRules is what is special about the rows of casts: one without a measured
// wall is common and no error, and a cast whose mold and date are known
// ages its mold even where its dwell or wall cannot be used. It reports whether
// the row goes into the studio.
func (r *rowReader) castRules() (kept bool) {
	at := func(name string) int {
		return slices.IndexFunc(r.b.table.Columns, func(c tables.Column) bool { return c.Name == name })
	}
	wall, result := at("wall"), r.record[at("result")].text
	counts := r.record[at("mold")].has && r.record[at("date")].has
	for k := range r.findings {
		f := &r.findings[k]
		if f.decl != wall || f.code != CodeMissing || !counts {
			continue
		}
		f.severity, f.fault = tables.Notice, noWall(result)
	}
	if !r.aside() {
		return true
	}
	if !counts {
		return false
	}
	for k := range r.findings {
		if f := &r.findings[k]; f.severity == tables.SetAside {
			f.message += "; the row is not used for walls, but the cast still counts towards the mold's age"
		}
	}
	return true
}

// noWall is what to say of a cast with that result whose wall was not measured.
func noWall(result string) fault {
	if result == "second" || result == "reject" {
		return fault{CodeNoWallOnFaulty, "no wall was measured on this " + result + ", which is common; it counts as a cast and as a " + result, "nothing to do"}
	}
	return fault{CodeNoWall, "no wall was measured; the cast counts towards its mold's age, not for walls", "nothing to do; measure the wet wall where you can"}
}
