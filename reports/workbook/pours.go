package workbook

import "moldwright/pipeline/tables"

// Words of the action column of pours.
const (
	lostWords    = "mold lost"
	tooMuchWords = "more used than mixed"
	waterWords   = "check the water"
	highWords    = "over a quarter lost"
	unknownWords = "waste not known"
)

const (
	// highWaste is the part of the plaster mixed above which the waste of a pour
	// is marked: a choice of ours, for the eye only.
	highWaste = 0.25
	// Beyond these a consistency is off what is usual for casting molds: common
	// practice, no source.
	driestUsual, wettestUsual = 60, 80
)

// pours shows what each pour took and lost.
func (b *book) pours() {
	rows := b.res.Plaster.Pours
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: poursSheet, title: "Where the plaster of each pour went", wide: true,
		note: "All masses are dry plaster. Waste is all that is in no usable mold; its true value lies in the range four times in five. Cost is in the currency of your price list. " +
			"Each part of a pour: sheet " + balanceSheet + ".",
	}, table[tables.PourWaste]{
		name: "pours_table", full: "tables/pour_waste.csv", columns: b.pourColumns(), rows: rows,
		marks: []mark{
			{on: "Look at", words: lostWords, columns: []string{"Pour", "Look at"}, tone: toneAct},
			{on: "Look at", words: tooMuchWords, columns: []string{"Pour", "Look at"}, tone: toneAct},
			{on: "Look at", words: waterWords, columns: []string{"Pour", "Look at"}, tone: toneSoon},
			{on: "Look at", words: highWords, columns: []string{"Pour", "Look at"}, tone: toneSoon},
		},
	})
	s.keyFigures(figuresHeading, b.poursFigures())
	s.pictures(b.chartsFor(poursSheet))
	s.notes("What a reader must know", b.res.Plaster.Notes)
	s.close()
}

func (b *book) pourColumns() []column[tables.PourWaste] {
	type row = tables.PourWaste
	in, balances := b.written(), b.balancesByPour()
	return []column[row]{
		{head: "Pour", value: func(r row) value { return words(r.Pour) }},
		{head: "Date", value: func(r row) value { return in.day(r.Date) }},
		{head: "Class", value: func(r row) value { return words(r.Class) }},
		{head: "Maker", value: func(r row) value { return words(r.Maker) }},
		{head: "Look at", value: func(r row) value { return words(pourWords(r, balances[r.Pour])) }},
		{head: "Main cause", value: func(r row) value { return words(r.MainCause) }},
		{head: in.ofMass("Mixed"), value: func(r row) value { return in.mass(r.PlasterKg) }},
		{head: in.ofMass("Gaps call for"), value: func(r row) value { return in.mass(r.NeededKg) }},
		{head: in.ofMass("In usable mold"), value: func(r row) value { return in.mass(r.InMoldKg) }},
		{head: in.ofMass("Waste"), value: func(r row) value { return in.mass(r.WasteKg) }},
		{head: in.ofMass("Range of waste"), value: func(r row) value { return span(in.mass(r.WasteLower80), in.mass(r.WasteUpper80)) }},
		{head: "Cost of waste", value: func(r row) value { return money(r.Cost) }},
	}
}

func (b *book) balancesByPour() map[string]tables.PourBalance {
	out := map[string]tables.PourBalance{}
	for _, p := range b.res.Plaster.Balances {
		out[p.Pour] = p
	}
	return out
}

// pourWords says what to look at in a pour, "" where nothing.
func pourWords(r tables.PourWaste, parts tables.PourBalance) string {
	switch {
	case known(r.FailedKg) && r.FailedKg > 0:
		return lostWords
	case parts.Pour != "" && known(parts.UnexplainedUpper80) && parts.UnexplainedUpper80 < 0:
		return tooMuchWords
	case oddWater(r.Consistency):
		return waterWords
	case !known(r.WasteKg):
		return unknownWords
	case known(r.PlasterKg) && r.WasteKg > highWaste*r.PlasterKg:
		return highWords
	}
	return ""
}

func oddWater(consistency float64) bool {
	return known(consistency) && (consistency < driestUsual || consistency > wettestUsual)
}
