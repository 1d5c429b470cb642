package workbook

import (
	"cmp"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// Words of the action column of the over-mix advice.
const (
	mixLessWords = "mix less"
	mixMoreWords = "mix more"
)

const (
	// Fewer pours of a form and maker together tell nothing beyond what each tells alone.
	leastTogether = 3
	// A habit nearer to the advice than this is near enough.
	nearAdvice = 0.05
	everyone   = "all"
)

// overmix says how much more than the gaps call for to mix, and what that would
// have saved.
func (b *book) overmix() {
	rows := b.overmixRows()
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: overmixSheet, title: "How much more than the gaps call for to mix", wide: true, lead: b.replayLead(),
		note: "Weighs a short pour, which costs the whole mold, against spare plaster, which costs only its price. The spread of your own estimates sets how much is enough. " +
			"Forms by single makers with fewer than " + number(leastTogether) + " pours are in tables/overmix_for.csv. If you estimate by the quart rule, an allowance is in it already: don't add a second.",
	}, table[tables.OvermixFor]{
		name: "overmix_table", full: "tables/overmix_for.csv", columns: overmixColumns(), rows: rows,
		marks: []mark{
			{on: "Look at", words: mixLessWords, columns: []string{"Look at", "Mixed so far, beyond the gaps"}, tone: toneSoon},
			{on: "Look at", words: mixMoreWords, columns: []string{"Look at", "Mixed so far, beyond the gaps"}, tone: toneAct},
		},
	})
	if replay := b.res.Plaster.Replay; len(replay) > 0 {
		s.repeatTitle() // its header is not that of the main table
		s.keepTogether(float64(len(replay))*(usualRowHeight+2) + 120)
		s.section("What the advice would have saved, each pour mixed again from what was known before its day")
		addTable(s, table[tables.OvermixReplay]{name: "replay_table", full: "tables/overmix_replay.csv", columns: replayColumns(b.written()), rows: replay,
			about:  func(r tables.OvermixReplay) string { return r.Group + " " + r.Value },
			figure: func(tables.OvermixReplay) string { return b.written().ofMass("Saved") }})
		s.paragraph(s.next, noteLook(), "Saved: plaster less, with the second mix for every short pour taken off; money with the labour of short pours, where it is priced. The ranges hold four times in five.")
	}
	s.close()
}

// overmixRows is the advice by form and by maker, and by both where enough pours tell.
func (b *book) overmixRows() []tables.OvermixFor {
	var rows []tables.OvermixFor
	for _, r := range b.res.Plaster.OvermixFor {
		if r.Form == everyone || r.Maker == everyone || r.Pours >= leastTogether {
			rows = append(rows, r)
		}
	}
	if len(rows) > 0 {
		return rows
	}
	for _, r := range b.res.Plaster.Overmix {
		rows = append(rows, tables.OvermixFor{Form: r.Form, Maker: everyone, Pours: tables.NoCount, EstimateErrorSD: r.EstimateErrorSD,
			AdvisedOvermixShare: r.AdvisedOvermixShare, ChanceShort: r.ChanceShort, UsualOvermixShare: tables.Absent()})
	}
	return rows
}

// replayLead says in a line what the advice would have saved.
func (b *book) replayLead() string {
	if len(b.res.Plaster.Replay) == 0 {
		return ""
	}
	r := b.res.Plaster.Replay[0]
	if !known(r.NetSavedKg) || !known(r.NetLower80) || !known(r.NetUpper80) {
		return ""
	}
	text := "Mixed as advised, " + cmp.Or(countWords(r.Pours), "the") + " past pours would have taken " + b.res.Settings.Units.Mass(r.NetSavedKg) + " less plaster (80 % interval " +
		format.Interval(b.res.Settings.Units.Mass(r.NetLower80), b.res.Settings.Units.Mass(r.NetUpper80)) + "), second mixes for short pours counted."
	if r.NetSavedKg < 0 {
		text = "Mixed as advised, past pours would have taken more plaster: your own habit is the better one so far."
	}
	return text
}

func countWords(n tables.Count) string { return count(n).text }

func overmixColumns() []column[tables.OvermixFor] {
	type row = tables.OvermixFor
	return []column[row]{
		{head: "Form", most: 30, value: func(r row) value { return words(r.Form) }},
		{head: "Maker", value: func(r row) value { return words(r.Maker) }},
		{head: "Mix this much more", value: func(r row) value { return percent(r.AdvisedOvermixShare) }},
		{head: "Mixed so far, beyond the gaps", value: func(r row) value { return percent(r.UsualOvermixShare) }},
		{head: "Look at", value: func(r row) value { return words(overmixWords(r)) }},
		{head: "Pours that tell", value: func(r row) value { return count(r.Pours) }},
		{head: "Chance to be short all the same", value: func(r row) value { return percent(r.ChanceShort) }},
		{head: "Spread of your estimates", value: func(r row) value { return percent(r.EstimateErrorSD) }},
	}
}

// overmixWords compares a habit with the advice, "" where too few pours tell.
func overmixWords(r tables.OvermixFor) string {
	switch beyond := r.UsualOvermixShare - r.AdvisedOvermixShare; {
	case r.Pours < leastTogether || !known(beyond):
		return ""
	case beyond > nearAdvice:
		return mixLessWords
	case beyond < -nearAdvice:
		return mixMoreWords
	}
	return ""
}

func replayColumns(in written) []column[tables.OvermixReplay] {
	type row = tables.OvermixReplay
	return []column[row]{
		{head: "Grouped by", value: func(r row) value { return words(r.Group) }},
		{head: "Which", value: func(r row) value { return words(r.Value) }},
		{head: "Pours", value: func(r row) value { return count(r.Pours) }},
		{head: in.ofMass("Mixed"), value: func(r row) value { return in.mass(r.MixedKg) }},
		{head: in.ofMass("As advised"), value: func(r row) value { return in.mass(r.AdvisedKg) }},
		{head: in.ofMass("Saved"), value: func(r row) value { return in.mass(r.NetSavedKg) }},
		{head: in.ofMass("Range of saved"), value: func(r row) value { return span(in.mass(r.NetLower80), in.mass(r.NetUpper80)) }},
		{head: "Money saved", value: func(r row) value { return money(r.NetSavedCost) }},
		{head: "Range of money", value: func(r row) value { return span(money(r.CostLower80), money(r.CostUpper80)) }},
		{head: "Short pours", value: func(r row) value { return count(r.Short) }},
		{head: "Short as advised, expected", value: func(r row) value { return fixed(r.ShortAdvised, 1) }},
	}
}
