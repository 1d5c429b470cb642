package wall

import (
	"fmt"
	"math"

	"moldwright/pipeline/tables"
)

// oddWeight is the weight below which a cast is told among the problems: its
// wall lies more than 4.2 residual standard deviations off.
const oddWeight = 0.5

// used lists the casts of the fit in the log's order, and those far off as
// problems.
func used(p *Posterior, studio tables.Studio) ([]tables.CastUsed, []tables.Problem) {
	residuals := p.fit.residuals(p.in)
	var out []tables.CastUsed
	var odd []tables.Problem
	for i, r := range p.in.rows {
		c := p.in.log.Casts[r.cast]
		origin := studio.Casts.Origin(int(c.Row))
		file, sheet, cell := studio.Blocks.Place(origin, "wall")
		u := tables.CastUsed{
			File: file, Sheet: sheet, Row: tables.Count(origin.Row), Mold: p.in.log.Molds[r.mold].Mold, Date: c.Date,
			AgeCasts: tables.Count(c.Age), DwellMin: c.DwellMin, WallMM: c.WallMM,
			FittedMM: math.Exp(r.logWall - residuals[i]), ResidualZ: residuals[i] * math.Sqrt(p.weights.reading[i]) / p.fit.model.Sigma, Weight: p.weights.robust[i],
		}
		out = append(out, u)
		if p.weights.robust[i] < oddWeight {
			odd = append(odd, tables.Problem{
				File: file, Sheet: sheet, Cell: cell, Code: "unusual-wall", Severity: tables.Notice,
				Value:   fmt.Sprintf("%.1f mm", c.WallMM),
				Message: fmt.Sprintf("after %.0f min in mold %s a wall near %.1f mm was expected; the cast counts for little in the fit", c.DwellMin, u.Mold, u.FittedMM),
				Mend:    "look whether wall or dwell was mistyped or in another unit; if it is right, leave it",
			})
		}
	}
	for _, i := range p.in.odd {
		c := p.in.log.Casts[p.in.rows[i].cast]
		file, sheet, cell := studio.Blocks.Place(studio.Casts.Origin(int(c.Row)), "wall")
		odd = append(odd, tables.Problem{
			File: file, Sheet: sheet, Cell: cell, Code: "odd-reading", Severity: tables.Notice, Value: fmt.Sprint(studio.Casts.Row(int(c.Row)).WallsMM),
			Message: "one of the readings of this wall (in mm) is far off the others and is left out",
			Mend:    "look whether it was mistyped; if the wall is that uneven, leave it",
		})
	}
	return out, odd
}
