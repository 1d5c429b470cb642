package workbook

import (
	"moldwright/pipeline/tables"
)

// Words of the action column of waste.
const (
	lostWords = "mold lost"
	highWords = "high waste"
)

// highWaste is the part of the plaster mixed above which waste is called high:
// a choice of ours, for the eye only.
const highWaste = 0.25

// pours shows where the plaster of each pour went.
func (b *book) pours() {
	rows := b.res.Plaster.Pours
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: poursSheet, title: "Where the plaster of each pour went", wide: true,
		note: "All masses are dry plaster. Mixed = in a usable mold + left over + spilled + trimmed + lost with a failed mold + unexplained. Waste is all that is in no usable mold; low and high are the ends of its 80 % interval. Cost is in the currency of your price list.",
	}, table[tables.PourWaste]{
		name: "pours_table", full: "tables/pour_waste.csv", columns: pourColumns(), rows: rows,
		marks: []mark{
			{on: "Look at", words: lostWords, columns: []string{"Pour", "Look at"}, tone: toneAct},
			{on: "Look at", words: highWords, columns: []string{"Pour", "Look at"}, tone: toneSoon},
		},
	})
	s.notes("What a reader must know", b.res.Plaster.Notes)
	s.pictures(b.chartsFor(poursSheet))
	s.close()
}

func pourColumns() []column[tables.PourWaste] {
	type row = tables.PourWaste
	return []column[row]{
		{head: "Pour", value: func(r row) value { return words(r.Pour) }},
		{head: "Date", value: func(r row) value { return day(r.Date) }},
		{head: "Class", value: func(r row) value { return words(r.Class) }},
		{head: "Maker", value: func(r row) value { return words(r.Maker) }},
		{head: "Look at", value: func(r row) value { return words(pourWords(r)) }},
		{head: "Main cause", value: func(r row) value { return words(r.MainCause) }},
		{head: "Mixed (kg)", value: func(r row) value { return massKg(r.PlasterKg) }},
		{head: "Gaps call for (kg)", value: func(r row) value { return massKg(r.NeededKg) }},
		{head: "In usable mold (kg)", value: func(r row) value { return massKg(r.InMoldKg) }},
		{head: "Waste (kg)", value: func(r row) value { return massKg(r.WasteKg) }},
		{head: "Waste, low (kg)", value: func(r row) value { return massKg(r.WasteLower80) }},
		{head: "Waste, high (kg)", value: func(r row) value { return massKg(r.WasteUpper80) }},
		{head: "Cost of waste", value: func(r row) value { return money(r.Cost) }},
		{head: "Left over (kg)", value: func(r row) value { return massKg(r.LeftoverKg) }},
		{head: "Spilled (kg)", value: func(r row) value { return massKg(r.SpilledKg) }},
		{head: "Trimmed (kg)", value: func(r row) value { return massKg(r.TrimmedKg) }},
		{head: "Lost with mold (kg)", value: func(r row) value { return massKg(r.FailedKg) }},
		{head: "Not explained (kg)", value: func(r row) value { return massKg(r.UnexplainedKg) }},
		{head: "Water per 100 plaster", value: func(r row) value { return fixed(r.Consistency, 0) }},
	}
}

// pourWords says what to look at in a pour, "" where nothing.
func pourWords(r tables.PourWaste) string {
	switch {
	case known(r.FailedKg) && r.FailedKg > 0:
		return lostWords
	case known(r.WasteKg) && known(r.PlasterKg) && r.WasteKg > highWaste*r.PlasterKg:
		return highWords
	}
	return ""
}
