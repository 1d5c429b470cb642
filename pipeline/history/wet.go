package history

import (
	"fmt"

	"moldwright/pipeline/tables"
)

// mostTold is how many casts without a shrinkage are told one by one.
const mostTold = 5000

// shrinkless are casts whose wall was measured dry or fired and whose form has
// no shrinkage on file.
type shrinkless struct {
	problems []tables.Problem
	more     int // of which only the number is told
}

// wet is the cast's wall as it was at draining, in mm. A wall measured dry
// or fired is divided by what is left after linear shrinkage (1 − S_d), and
// (1 − S_f) for fired: L_wet = L_fired / ((1 − S_d)·(1 − S_f)). Where the form's
// shrinkage is not on file the wall is absent, with a problem.
func (s *shrinkless) wet(b *builder, row int, wall float64, basis, form string) float64 {
	f, ok := b.forms[Fold(form)]
	left := 1 - f.DryingShrinkage
	if basis == tables.WallFired {
		left *= 1 - f.FiringShrinkage
	}
	if ok && tables.Has(left) && left > 0 {
		return wall / left
	}
	if len(s.problems) == mostTold {
		s.more++
		return tables.Absent()
	}
	file, sheet, cell := b.studio.Blocks.Place(b.studio.Casts.Origin(row), "wall")
	s.problems = append(s.problems, tables.Problem{
		File: file, Sheet: sheet, Cell: cell, Code: "no-shrinkage", Severity: tables.SetAside, Value: basis,
		Message: fmt.Sprintf("the wall was measured %s and the form %q has no shrinkage to turn it into a wet wall; the cast still counts towards the mold's age", basis, form),
		Mend:    "fill in drying_shrinkage and firing_shrinkage on the forms sheet",
	})
	return tables.Absent()
}

func (s *shrinkless) merge(next shrinkless) {
	room := mostTold - len(s.problems)
	if over := len(next.problems) - room; over > 0 {
		next.problems = next.problems[:room]
		s.more += over
	}
	s.problems = append(s.problems, next.problems...)
	s.more += next.more
}

func (s *shrinkless) told() []tables.Problem {
	if s.more == 0 {
		return s.problems
	}
	last := s.problems[len(s.problems)-1]
	return append(s.problems, tables.Problem{
		File: last.File, Code: last.Code, Severity: last.Severity, Value: fmt.Sprint(s.more),
		Message: fmt.Sprintf("%d more walls were measured dry or fired and their form has no shrinkage; only the first %d are listed", s.more, mostTold),
		Mend:    last.Mend,
	})
}
