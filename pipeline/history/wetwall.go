package history

import (
	"fmt"

	"moldwright/pipeline/tables"
)

// wetWall is the cast's wall as it was at draining, in mm. A wall measured dry
// or fired is divided by what is left after linear shrinkage (1 − S_d), and
// (1 − S_f) for fired: L_wet = L_fired / ((1 − S_d)·(1 − S_f)). Where the form's
// shrinkage is not on file the wall is absent, with a problem.
func (b *builder) wetWall(c tables.Cast, form string) float64 {
	wall := c.WallMM()
	if !tables.Has(wall) || c.WallBasis == "" || c.WallBasis == tables.WallWet {
		return wall
	}
	f, ok := b.forms[Fold(form)]
	left := 1 - f.DryingShrinkage
	if c.WallBasis == tables.WallFired {
		left *= 1 - f.FiringShrinkage
	}
	if !ok || !tables.Has(left) || left <= 0 {
		file, sheet, cell := b.studio.Blocks.Place(c.Origin, "wall")
		b.problems = append(b.problems, tables.Problem{
			File: file, Sheet: sheet, Cell: cell, Code: "no-shrinkage", Severity: tables.SetAside, Value: c.WallBasis,
			Message: fmt.Sprintf("the wall was measured %s and the form %q has no shrinkage to turn it into a wet wall; the cast still counts towards the mold's age", c.WallBasis, form),
			Mend:    "fill in drying_shrinkage and firing_shrinkage on the forms sheet",
		})
		return tables.Absent()
	}
	return wall / left
}
