package page

import (
	"fmt"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/plaster"
)

// methodSection gives the method in short, the settings, and what was assumed.
// The workbook's Method sheet has the equations in full.
func methodSection(res pipeline.Result, judging []figure) section {
	s := section{ID: "method", Title: "The method in short"}
	set := res.Settings
	if res.Wall.Fitted {
		s.text("Walls. All molds are fitted at once on the log scale by a mixed model: the wall depends on the form, the dwell, the mold's age and the mold itself. A mold with few casts borrows from the others of its form and kind. Casts that lie far off count less; none is deleted.")
	}
	if len(res.Life.Remaining) > 0 {
		s.text("Casts left. The first of three ends counts: needing a longer dwell than the form allows, by following each mold's wear forward in %s random draws; being worn or broken, by a Weibull law of its kind's lives that counts molds still in use and logs that start late; and, where results are logged, rejects that became too many.",
			format.Fixed(float64(set.Life.Draws), 0))
	}
	if len(res.Watch.Molds) > 0 {
		s.text("Watch. Each cast is predicted from those before it. Three charts follow the misses: one waits for wear that grew at some cast, one for walls that turned thin, one for rejects that became more. Their limits are set so that all three together flag a healthy mold falsely no more than once in %s. Healthy means wear of less than about %s times its kind's.",
			format.Casts(set.Watch.InControlRun), format.Significant(set.Watch.FastWear, 2))
	}
	if len(res.Hindcast.Rows) > 0 {
		s.text("Earlier forecasts. The log is cut at %s, everything is fitted on what was known then, and forecasts are set beside what came. Where intervals held too few or too many, by more than chance explains, today's are rescaled (split conformal).",
			plural(len(res.Hindcast.Origins), "past date", "past dates"))
	}
	if len(res.Plaster.Pours) > 0 {
		s.text("Plaster. What a mold needs is the space between model and containment wall, integrated over the measured heights, plus the cover over it. Mixed plaster is then in a usable mold, left over, spilled, trimmed, lost with a failed mold, or unexplained. Slurry is counted by its dry plaster.")
	}
	if len(res.Wall.Dropped) > 0 {
		s.heading("Left out of the wall law, for want of data")
		s.list(sentences(res.Wall.Dropped))
	}
	if len(judging) > 0 {
		s.heading("How well the wall law fits")
		s.figures(judging)
	}
	s.table(terms(res))
	s.table(settings(res, set.Plaster))
	return s
}

// terms are those of the chosen law, which come first; the other laws' stand in
// the plain tables.
func terms(res pipeline.Result) table {
	t := table{
		Caption: "Terms of the chosen law, on the log scale of mm and min (those of the other laws: tables/wall_fit.csv)",
		Head:    append(words("Term"), numbers("Estimate", "Standard error", "95 % interval")...),
	}
	for _, f := range res.Wall.Terms {
		if f.Model != res.Wall.Terms[0].Model {
			break
		}
		t.Rows = append(t.Rows, cells(f.Term, format.Significant(f.Estimate, 3), format.Significant(f.StdError, 2),
			format.Interval(format.Significant(f.Lower95, 3), format.Significant(f.Upper95, 3))))
	}
	if !res.Wall.Fitted && len(t.Rows) > 0 {
		t.Caption = "What stands in for a wall law: " + res.Wall.Terms[0].Model
	}
	return t
}

func settings(res pipeline.Result, p plaster.Settings) table {
	t := table{Caption: "Settings of this run", Head: append(words("Setting"), numbers("Value")...)}
	t.Rows = []row{
		cells("Day that forecasts start from", res.Settings.Days.Day(asOf(res))),
		cells("Seed of the random draws", fmt.Sprint(res.Settings.Seed)),
		cells("Least usable casts for a wall law", fmt.Sprint(res.Settings.Wall.LeastCasts)),
		cells("Density of dry plaster", format.Fixed(p.PlasterDensity, 2)+" g/cm³"),
		cells("Error of a gap or height reading, one standard deviation", res.Settings.Units.Wall(p.ReadingErrorMM)),
		cells("Error of a weighed mass, one standard deviation", format.Fixed(100*p.WeighingShare, 1)+" %"),
		cells("Least distance of a saw cut from the model", res.Settings.Units.Ruler(p.SawMargin())),
	}
	return t
}
