package workbook

import (
	"moldwright/pipeline/tables"
)

// watchList shows every mold with measured casts, flagged ones first.
func (b *book) watchList() {
	rows := b.res.Watch.Molds
	if len(rows) == 0 {
		return
	}
	forms, status := b.formsAndStatus()
	s, _ := openTable(b, page{
		name: watchSheet, title: "Which molds are wearing out early", wide: true,
		note: "Every mold with measured casts, flagged ones first. One of its columns says how often a healthy mold would be flagged by mistake, by all evidence together: no more than once in so many casts. “" + endedWords + "”: flagged, but no longer in use.",
	}, table[tables.Watch]{
		name: "watch_table", full: "tables/watch.csv", columns: watchColumns(forms, status), rows: rows, pressing: true,
		about: func(r tables.Watch) string { return r.Mold }, figure: func(tables.Watch) string { return "Chance of fast wear" },
		marks: []mark{{on: "Watch", words: flaggedWords, columns: []string{"Mold", "Watch"}, tone: toneAct}},
	})
	s.keyFigures(figuresHeading, b.watchFigures())
	s.notes("What a reader must know", b.res.Watch.Notes)
	s.pictures(b.chartsFor(watchSheet))
	s.close()
}

func watchColumns(forms, status map[string]string) []column[tables.Watch] {
	type row = tables.Watch
	return []column[row]{
		{head: "Mold", value: func(r row) value { return words(r.Mold) }},
		{head: "Form", value: func(r row) value { return words(forms[r.Mold]) }},
		{head: "Watch", value: func(r row) value { return words(flagWords(r.Flagged, status[r.Mold])) }},
		{head: "Status", value: func(r row) value { return words(status[r.Mold]) }},
		{head: "Since cast number", value: func(r row) value { return castNumber(r.SinceAgeCasts) }},
		{head: "Evidence", most: 36, value: func(r row) value { return words(r.Evidence) }},
		{head: "What to do", most: 30, value: func(r row) value { return words(r.DoNext) }},
		{head: "Rejects", most: 16, value: func(r row) value { return words(r.RejectEvidence) }},
		{head: "Chance of fast wear", value: func(r row) value { return percent(r.ChanceFastWear) }},
		{head: "One false alarm in (casts)", value: func(r row) value { return casts(r.FalseAlarmCasts) }},
	}
}

// castNumber is the number of the cast that a mold makes at an age: the first
// cast is made at age 0.
func castNumber(age tables.Count) value {
	if age == tables.NoCount {
		return value{}
	}
	return whole(int(age) + 1)
}
