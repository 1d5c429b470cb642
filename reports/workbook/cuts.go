package workbook

import (
	"fmt"
	"strings"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// cutDepth is laid out to be printed and taped to the saw bench.
func (b *book) cutDepth() {
	rows := b.res.Plaster.Cuts
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: cutsSheet, title: "How deep to saw a split mold",
		note: fmt.Sprintf("Set the saw no deeper than the cut at each height: two thirds of the smallest gap, and never nearer the model than %s. Heights are above the base board.",
			format.Fixed(b.res.Settings.Plaster.SawMarginMM, 0)+" mm"),
		lead: strings.Join(b.cautionsAbout("saw"), " "),
	}, table[tables.CutDepth]{
		name: "cut_table", full: "tables/cut_depth.csv", columns: cutColumns(), rows: rows,
		marks: []mark{{on: "Look at", words: noCutWords, columns: []string{"Look at", "Cut (mm)"}, tone: toneAct}},
	})
	s.close()
}

const noCutWords = "do not saw here"

func cutColumns() []column[tables.CutDepth] {
	type row = tables.CutDepth
	return []column[row]{
		{head: "Pour", most: 30, value: func(r row) value { return words(r.Pour) }},
		{head: "Height (mm)", size: 12, value: func(r row) value { return fixed(r.HeightMM, 0) }},
		{head: "Smallest gap (mm)", value: func(r row) value { return fixed(r.GapMM, 0) }},
		{head: "Cut (mm)", size: 14, value: func(r row) value { return fixed(r.CutMM, 0) }},
		{head: "Look at", value: func(r row) value {
			if known(r.CutMM) && r.CutMM <= 0 {
				return words(noCutWords)
			}
			return value{}
		}},
	}
}
