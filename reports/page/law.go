package page

import (
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// lawSection says how wall depends on dwell, and how sure that is.
func lawSection(res pipeline.Result, figs []figure) section {
	s := section{ID: "law", Title: "How the wall grows"}
	if !res.Wall.Fitted {
		s = s.leftOut(res, res.Wall.WhyNot, "No wall law was fitted")
		s.figures(figs)
		return s
	}
	s.text("%s", lawSentence(res.Wall))
	if res.Wall.ChosenBy != "" {
		s.text("Why this law: %s", sentence(res.Wall.ChosenBy))
	}
	s.figures(figs)
	candidates(&s, res.Wall)
	s.table(odd(res))
	return s
}

// candidates adds the table of the laws. What was compared is said once where it
// is the same for all.
func candidates(s *section, a wall.Answer) {
	t := table{
		Caption: "The laws compared on the same casts (both figures: lower is better)",
		Head:    append(words("Law"), numbers("AICc", "Error for a mold left out|of log wall")...),
	}
	var criteria []string
	for _, c := range a.Candidates {
		name, class := of(c.Law), ""
		if c.Chosen {
			name, class = of(c.Law, "chosen"), "chosen"
		}
		t.Rows = append(t.Rows, row{Class: class, Cells: []cell{name, of(format.Fixed(c.AICc, 1)), of(format.Significant(c.LeftOut, 3))}})
		if c.Criteria != "" && !slices.Contains(criteria, c.Criteria) {
			criteria = append(criteria, c.Criteria)
		}
	}
	s.table(t)
	if len(t.Rows) > 0 && len(criteria) > 0 {
		s.small("%s", sentence(strings.Join(criteria, "; ")))
	}
}

func lawSentence(a wall.Answer) string {
	text := fmt.Sprintf("The law chosen is “%s”", a.Chosen)
	switch {
	case a.ExponentSE > 0:
		text += fmt.Sprintf(": the wall grows with the dwell to the power %s (standard error %s; one half would be the square-root law)",
			format.Fixed(a.Exponent, 2), format.Fixed(a.ExponentSE, 2))
	case a.Exponent == 0.5:
		text += ": the wall grows with the square root of the dwell, so that twice the wall takes four times the dwell"
	case a.Chosen == wall.Filtration:
		text += ": a wall of L takes a dwell of a·L² + b·L, where a is the resistance of the clay and b that of the mold, which grows with its age; so a young mold follows the square-root law and an old one is slower"
	case tables.Has(a.Exponent) && a.Exponent != 0:
		text += fmt.Sprintf(": the wall grows with the dwell to the power %s", format.Fixed(a.Exponent, 2))
	}
	text += "."
	if tables.Has(a.Sigma) && a.Sigma > 0 {
		text += fmt.Sprintf(" A single cast lands off it by about %s, one standard deviation, for reasons that the log does not show.", format.Percent(a.Sigma))
	}
	return text
}

// oddest is how many of the casts that count less are shown.
const oddest = 15

// odd lists casts that the fit weighs down as likely typing errors.
func odd(res pipeline.Result) table {
	t := table{
		Caption: "Casts far off the law, which count less in the fit: check them for typing errors",
		Head:    append(words("File|sheet · row", "Mold", "Day"), numbers("Dwell", "Wall as measured", "Wall by the fit", "Off by|standard deviations", "Weight|1 is full")...),
	}
	for _, u := range res.Wall.Used {
		if u.Weight >= lowWeight || !tables.Has(u.Weight) {
			continue
		}
		if len(t.Rows) == oddest {
			t.Caption += fmt.Sprintf(" (the first %d; all are in tables/casts_used.csv)", oddest)
			break
		}
		r := cells(u.File, u.Mold, res.Settings.Days.Day(u.Date), format.Dwell(u.DwellMin), res.Settings.Units.Wall(u.WallMM), res.Settings.Units.Wall(u.FittedMM),
			format.Fixed(u.ResidualZ, 1), format.Fixed(u.Weight, 2))
		r.Cells[0] = of(short(u.File), joined(u.Sheet, labelled("row ", count(u.Row))))
		t.Rows = append(t.Rows, r)
	}
	return t
}

// lowWeight is the weight below which a cast is worth a look.
const lowWeight = 0.5
