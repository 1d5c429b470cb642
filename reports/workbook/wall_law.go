package workbook

import (
	"fmt"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// wallLaw shows the fitted law term by term, what it was compared with, and
// what the log could not carry.
func (b *book) wallLaw() {
	w := b.res.Wall
	if len(w.Terms) == 0 && len(w.Candidates) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: wallSheet, title: "How the wall depends on dwell and mold age",
		note: siTerms(b.res.Settings.Units) + "One row a term of each law. Parabolic and power law: on the scale of log wall, so that −0.004 for age is a wall about 0.4 % thinner per cast. Filtration law, dwell = a·wall² + b·wall: age terms are the growth of b per cast in min/mm, the others belong to log a, where more means a thinner wall. A term whose interval does not hold 0 is told apart from chance.",
		lead: b.lawInWords(), wide: true,
	}, table[tables.WallFit]{
		name: "wall_terms_table", full: "tables/wall_fit.csv", columns: termColumns(), rows: w.Terms,
		none: "No terms were estimated.",
	})
	if len(w.Candidates) > 0 {
		s.section("Laws that were compared on the same casts")
		addTable(s, table[wall.Candidate]{
			name: "wall_candidates_table", columns: candidateColumns(), rows: w.Candidates,
			marks: []mark{{on: "Used", words: "used", columns: []string{"Law", "Used"}, tone: toneSoon}},
		})
	}
	s.keyFigures(figuresHeading, b.wallFigures())
	s.notes("Left out, because the log does not carry it", w.Dropped)
	s.pictures(b.chartsFor(wallSheet))
	s.close()
}

// lawInWords is the chosen law in a line.
func (b *book) lawInWords() string {
	w := b.res.Wall
	if !w.Fitted {
		return w.WhyNot
	}
	text := "Used: " + w.Chosen
	if w.ChosenBy != "" {
		text += ", because " + w.ChosenBy
	}
	text += "."
	if known(w.Exponent) && w.ExponentSE > 0 {
		text += fmt.Sprintf(" Wall grows as dwell to the power %s ± %s.", format.Fixed(w.Exponent, 2), format.Fixed(w.ExponentSE, 2))
	}
	if known(w.Sigma) && w.Sigma > 0 {
		text += fmt.Sprintf(" Walls of single casts scatter by about %s around it.", format.Percent(w.Sigma))
	}
	return text
}

func termColumns() []column[tables.WallFit] {
	type row = tables.WallFit
	return []column[row]{
		{head: "Law", most: 64, value: func(r row) value { return words(r.Model) }},
		{head: "Term", most: 50, value: func(r row) value { return words(r.Term) }},
		{head: "Estimate", value: func(r row) value { return alike(r.Estimate, r.StdError) }},
		{head: "Standard error", value: func(r row) value { return significant(r.StdError, 2) }},
		{head: "95 % interval, low", value: func(r row) value { return alike(r.Lower95, r.StdError) }},
		{head: "95 % interval, high", value: func(r row) value { return alike(r.Upper95, r.StdError) }},
	}
}

func candidateColumns() []column[wall.Candidate] {
	type row = wall.Candidate
	return []column[row]{
		{head: "Law", most: 40, value: func(r row) value { return words(r.Law) }},
		{head: "What was compared", most: 50, value: func(r row) value { return words(r.Criteria) }},
		{head: "Used", value: func(r row) value {
			if r.Chosen {
				return words("used")
			}
			return words("not used")
		}},
		{head: "AICc (less is better)", value: func(r row) value { return fixed(r.AICc, 1) }},
		{head: "Error for a mold left out", value: func(r row) value { return finePercent(r.LeftOut) }},
	}
}

// siTerms says so where the report around the terms is not in their units: a law
// has its terms in those it was fitted in, as tables/wall_fit.csv has them.
func siTerms(u format.Units) string {
	if u == format.US {
		return "Walls in mm and dwells in min: the terms are those of the law as it was fitted. "
	}
	return ""
}
