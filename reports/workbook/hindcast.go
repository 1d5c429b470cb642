package workbook

import (
	"moldwright/pipeline/hindcast"
	"moldwright/pipeline/tables"
)

// hindcasts shows whether earlier forecasts came true.
func (b *book) hindcasts() {
	rows := b.res.Hindcast.Rows
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: hindcastSheet, title: "Did earlier forecasts come true", wide: true,
		note: "Forecasts made anew from past dates, on what was known then, beside what came. An interval of 80 % should hold 80 of 100. Loss measures how far off a forecast is, the less the better; the rival is the last wall unchanged, or the mean life of the kind less the age.",
	}, table[tables.Hindcast]{
		name: "hindcast_table", full: "tables/hindcast.csv", columns: hindcastColumns(b.written()), rows: rows,
	})
	s.notes("What a reader must know", b.res.Hindcast.Notes)
	s.pictures(b.chartsFor(hindcastSheet))
	s.close()
}

func hindcastColumns(in written) []column[tables.Hindcast] {
	type row = tables.Hindcast
	return []column[row]{
		{head: "Forecast of", value: func(r row) value { return words(hindcastWords(r.What)) }},
		{head: "Should hold", value: func(r row) value { return percent(r.Level) }},
		{head: "Share held", value: func(r row) value { return percent(r.Share) }},
		{head: "Standard error of share", value: func(r row) value { return percent(r.StdError) }},
		{head: "Decided forecasts", value: func(r row) value { return count(r.Forecasts) }},
		{head: "Of these held", value: func(r row) value { return count(r.Held) }},
		{head: "Not decided yet", value: func(r row) value { return count(r.Undecided) }},
		{head: "Today's interval, times as wide as fitted", value: func(r row) value { return significant(r.Factor, 3) }},
		{head: "Loss (" + in.units.Length().Name + " or casts)", value: func(r row) value { return significant(in.loss(r, r.Loss), 2) }},
		{head: "Loss of the rival", value: func(r row) value { return significant(in.loss(r, r.Rival), 2) }},
	}
}

func hindcastWords(what string) string {
	if what == hindcast.WhatLife {
		return "remaining casts"
	}
	return what
}

// loss is a loss in the unit of what was forecast.
func (w written) loss(r tables.Hindcast, loss float64) float64 {
	if r.What == hindcast.WhatLife {
		return loss
	}
	return w.units.Length().Of(loss)
}
