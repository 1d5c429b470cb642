package page

import (
	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/hindcast"
	"moldwright/pipeline/tables"
)

// hindcastSection says whether earlier forecasts came true.
func hindcastSection(res pipeline.Result, figs []figure) section {
	s := section{ID: "hindcast", Title: "Did earlier forecasts come true?"}
	if len(res.Hindcast.Rows) == 0 {
		s = s.leftOut(res, res.Hindcast.WhyNot, "The log is too short to look back on earlier forecasts")
		s.figures(figs)
		return s
	}
	t := table{
		Caption: "Forecasts from past dates, and what came",
		Head: append(words("Forecast of"), numbers("Interval|should hold", "Held|share ± standard error", "Decided|held of so many", "Not decided yet",
			"Today's interval|times as wide as fitted", "Loss|of a plain rival")...),
	}
	for _, r := range res.Hindcast.Rows {
		t.Rows = append(t.Rows, hindcastRow(r, res.Settings.Units))
	}
	s.table(t)
	s.figures(figs)
	s.list(sentences(res.Hindcast.Notes))
	return s
}

func hindcastRow(r tables.Hindcast, u format.Units) row {
	what, loss := "walls", format.Fixed
	unit, places := u.Length(), 2+u.WallDecimals()
	if r.What == hindcast.WhatLife {
		what, unit, places = "remaining casts", format.Plain("casts"), 1
	}
	return row{Cells: []cell{
		of(what), of(format.Percent(r.Level)), of(format.Percent(r.Share), labelled("± ", format.Percent(r.StdError))),
		of(count(r.Held), labelled("of ", count(r.Forecasts))), of(count(r.Undecided)), of(factorWords(r.Factor)),
		of(loss(unit.Of(r.Loss), places)+" "+unit.Name, labelled("rival ", loss(unit.Of(r.Rival), places)+" "+unit.Name)),
	}}
}

func factorWords(f float64) string {
	if f == 1 {
		return "as fitted"
	}
	return format.Fixed(f, 2)
}
