package page

import (
	"moldwright/pipeline"
	"moldwright/pipeline/format"
)

// watchSection lists the molds that wear out early, the evidence, and what to do.
func watchSection(res pipeline.Result, figs []figure) section {
	s := section{ID: "watch", Title: "Wearing out early"}
	if len(res.Watch.Molds) == 0 {
		s = s.leftOut(res, res.Watch.WhyNot, "No mold has enough measured casts to be watched")
		s.figures(figs)
		return s
	}
	shelf, evidence := take(figs, "shelf")
	flagged := table{
		Caption: "Molds that wear out early",
		Head:    append(words("Mold", "Evidence", "What to do"), numbers("Since age|casts", "Chance of fast wear", "False flag|a healthy mold, once in")...),
	}
	quiet := table{
		Caption: "Molds watched, without a sign",
		Head:    append(append(words("Mold"), numbers("Chance of fast wear", "False flag|a healthy mold, once in")...), words("Walls", "Rejects")...),
	}
	for _, w := range res.Watch.Molds {
		if w.Flagged {
			flagged.Rows = append(flagged.Rows, cells(w.Mold, w.Evidence, w.DoNext, count(w.SinceAgeCasts), format.Percent(w.ChanceFastWear), format.Casts(w.FalseAlarmCasts)))
			continue
		}
		quiet.Rows = append(quiet.Rows, cells(w.Mold, format.Percent(w.ChanceFastWear), format.Casts(w.FalseAlarmCasts), w.Evidence, w.RejectEvidence))
	}
	s.figures(shelf)
	if len(flagged.Rows) == 0 {
		s.text("No mold shows signs of wearing out early.")
	}
	s.mostPressing(flagged, make([]int, len(flagged.Rows)), "flagged molds", "tables/watch.csv")
	s.figures(evidence)
	s.mostPressing(quiet, make([]int, len(quiet.Rows)), "molds without a sign", "tables/watch.csv")
	s.list(sentences(res.Watch.Notes))
	return s
}
