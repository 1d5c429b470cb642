package wall

import (
	"fmt"
	"math"
	"slices"

	"moldwright/pipeline/tables"
)

// oddWeight is the weight below which a cast is told among the problems: its
// wall lies more than 4.2 residual standard deviations off.
const oddWeight = 0.5

// used appends the casts of mold m in the fit.
func (p *Posterior) used(out []tables.CastUsed, m int, studio tables.Studio) []tables.CastUsed {
	casts, residuals := p.castsAndResiduals(m)
	out = slices.Grow(out, len(casts.rows))
	for i, r := range casts.rows {
		c := p.in.log.Casts[r.cast]
		origin := studio.Casts.Origin(int(c.Row))
		file, sheet := studio.Blocks.Sheet(origin)
		out = append(out, tables.CastUsed{
			File: file, Sheet: sheet, Row: tables.Count(origin.Row), Mold: p.in.log.Molds[m].Mold, Date: c.Date,
			AgeCasts: tables.Count(c.Age), DwellMin: c.DwellMin, WallMM: c.WallMM,
			FittedMM: math.Exp(r.logWall - residuals[i]), ResidualZ: residuals[i] * math.Sqrt(casts.reading[i]) / p.fit.model.Sigma, Weight: casts.robust[i],
		})
	}
	return out
}

// usedOfAll lists the casts of the fit in the log's order, and those far off as
// problems.
func usedOfAll(p *Posterior, studio tables.Studio) ([]tables.CastUsed, []tables.Problem) {
	var out []tables.CastUsed
	for m := range p.in.log.Molds {
		out = p.used(out, m, studio)
	}
	var odd []tables.Problem
	for i, u := range out {
		if u.Weight < oddWeight {
			odd = append(odd, unusual(p, studio, p.in.rows[i].cast, u.FittedMM))
		}
	}
	for _, i := range p.in.odd {
		odd = append(odd, uneven(p, studio, p.in.rows[i].cast))
	}
	return out, odd
}

// unusual tells a cast whose wall is far from what was expected.
func unusual(p *Posterior, studio tables.Studio, cast int, fittedMM float64) tables.Problem {
	c := p.in.log.Casts[cast]
	file, sheet, cell := studio.Blocks.Place(studio.Casts.Origin(int(c.Row)), "wall")
	return tables.Problem{
		File: file, Sheet: sheet, Cell: cell, Code: "unusual-wall", Severity: tables.Notice,
		Value:   fmt.Sprintf("%.1f mm", c.WallMM),
		Message: fmt.Sprintf("after %.0f min in mold %s a wall near %.1f mm was expected; the cast counts for little in the fit", c.DwellMin, p.in.log.Molds[c.Mold].Mold, fittedMM),
		Mend:    "look whether wall or dwell was mistyped or in another unit; if it is right, leave it",
	}
}

// uneven tells a cast of which a reading was left out.
func uneven(p *Posterior, studio tables.Studio, cast int) tables.Problem {
	c := p.in.log.Casts[cast]
	file, sheet, cell := studio.Blocks.Place(studio.Casts.Origin(int(c.Row)), "wall")
	return tables.Problem{
		File: file, Sheet: sheet, Cell: cell, Code: "odd-reading", Severity: tables.Notice, Value: fmt.Sprint(studio.Casts.Row(int(c.Row)).WallsMM),
		Message: "one of the readings of this wall (in mm) is far off the others and is left out",
		Mend:    "look whether it was mistyped; if the wall is that uneven, leave it",
	}
}
