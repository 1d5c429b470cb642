package workbook

import (
	"fmt"

	"moldwright/pipeline/tables"
)

// lives shows the distribution of lives of each kind of mold.
func (b *book) lives() {
	rows := b.res.Life.Fits
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: livesSheet, title: "How long molds of a kind live", wide: true,
		note: "One row a kind. By the typical life 63 of 100 molds have ended. A shape above 1 means that older molds end more readily; near 1 they end at any age alike. “From common practice” is how much of the figure comes from general experience instead of your own log.",
	}, table[tables.LifeFit]{
		name: "lives_table", full: "tables/life_fit.csv", columns: lifeColumns(), rows: rows,
		marks: []mark{{on: "Rests on", words: practiceWords, columns: []string{"Rests on"}, tone: toneSoon}},
	})
	s.pictures(b.chartsFor(livesSheet))
	s.close()
}

const practiceWords = "mostly common practice"

func lifeColumns() []column[tables.LifeFit] {
	type row = tables.LifeFit
	return []column[row]{
		{head: "Kind", value: func(r row) value { return words(r.Kind) }},
		{head: "Typical life (casts)", value: func(r row) value { return alike(r.Scale, r.ScaleSE) }},
		{head: "Standard error (casts)", value: func(r row) value { return significant(r.ScaleSE, 2) }},
		{head: "Shape", value: func(r row) value { return alike(r.Shape, r.ShapeSE) }},
		{head: "Standard error of shape", value: func(r row) value { return significant(r.ShapeSE, 2) }},
		{head: "Molds ended", value: func(r row) value { return count(r.Ended) }},
		{head: "Molds in use or ended otherwise", value: func(r row) value { return count(r.InUse) }},
		{head: "From common practice", value: func(r row) value { return percent(r.PriorWeight) }},
		{head: "Rests on", value: func(r row) value { return words(restsOn(r)) }},
	}
}

func restsOn(r tables.LifeFit) string {
	switch {
	case !known(r.PriorWeight):
		return ""
	case r.PriorWeight > 0.5:
		return practiceWords
	case r.Ended == 1:
		return "1 ended mold"
	case r.Ended == tables.NoCount:
		return "your log"
	}
	return fmt.Sprintf("%d ended molds", r.Ended)
}
