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
		origin := studio.Casts.Origin(c.Row)
		file, sheet, cell := studio.Blocks.Place(origin, "wall")
		u := tables.CastUsed{
			File: file, Sheet: sheet, Row: tables.Count(origin.Row), Mold: p.in.log.Molds[r.mold].Mold, Date: c.Date,
			AgeCasts: tables.Count(c.Age), DwellMin: c.DwellMin, WallMM: c.WallMM,
			FittedMM: math.Exp(r.logWall - residuals[i]), ResidualZ: residuals[i] / p.Sigma(), Weight: p.weights[i],
		}
		out = append(out, u)
		if p.weights[i] < oddWeight {
			odd = append(odd, tables.Problem{
				File: file, Sheet: sheet, Cell: cell, Code: "unusual-wall", Severity: tables.Notice,
				Value:   fmt.Sprintf("%.1f mm", c.WallMM),
				Message: fmt.Sprintf("after %.0f min in mold %s a wall near %.1f mm was expected; the cast counts for little in the fit", c.DwellMin, u.Mold, u.FittedMM),
				Mend:    "look whether wall or dwell was mistyped or in another unit; if it is right, leave it",
			})
		}
	}
	return out, odd
}
