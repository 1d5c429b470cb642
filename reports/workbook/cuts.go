package workbook

import (
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

const (
	noCutWords = "do not saw here"
	noRoom     = "has heights without room for a cut"
)

const (
	// Plaster thinner than this breaks or soaks through: common practice, no source.
	thinnestGapMM = 25
	// So many pours, the newest, get a block; older molds have been sawn long ago.
	mostCutBlocks = 120
	benchSize     = 14.0 // points, to be read at arm's length
)

// cutPour is a pour with the heights at which its gaps were measured.
type cutPour struct {
	pour, maker string
	date        tables.Date
	cuts        []tables.CutDepth
}

// cutDepth is laid out to be printed, cut apart and taped to the saw bench: a
// list of the pours, and a block for each that no page end cuts.
func (b *book) cutDepth() {
	pours := b.cutPours()
	if len(pours) == 0 {
		return
	}
	in := b.written()
	shown := pours[:min(len(pours), mostCutBlocks)]
	p := page{
		name: cutsSheet, title: "How deep to saw a split mold",
		note: fmt.Sprintf("A block for each pour below, the newest first and none for a mold that was lost, to print and tape to the saw bench. Set the saw no deeper than the cut at each height: two thirds of the smallest gap there, and never nearer the model than %s; rounded down. Heights are above the base board.",
			in.units.Ruler(b.res.Settings.Plaster.SawMargin())),
		lead: strings.Join(append(b.cautionsAbout("saw"), b.cautionsAbout("local codes")...), " "),
	}
	if left := len(pours) - len(shown); left > 0 {
		p.note += fmt.Sprintf(" The cuts of %d older pours are in tables/cut_depth.csv.", left)
	}
	s, _ := openTable(b, p, table[cutPour]{
		name: "cut_table", full: "tables/cut_depth.csv", columns: cutListColumns(in), rows: shown,
		marks: []mark{
			{on: "Look at", words: noRoom, columns: []string{"Pour", "Look at"}, tone: toneAct},
			{on: "Look at", words: in.hasThin(), columns: []string{"Pour", "Look at"}, tone: toneSoon},
		},
	})
	s.repeatTitle() // the blocks have a header of their own
	for _, pour := range shown {
		s.cutBlock(pour)
	}
	s.close()
}

// cutPours gathers the cuts by pour: those not poured yet first, then the newest.
// Where the mold was lost there is nothing to saw.
func (b *book) cutPours() []cutPour {
	var out []cutPour
	at := map[string]int{}
	lost := map[string]bool{}
	for _, p := range b.res.Plaster.Pours {
		lost[p.Pour] = known(p.FailedKg) && p.FailedKg > 0
	}
	for _, c := range b.res.Plaster.Cuts {
		if lost[c.Pour] {
			continue
		}
		i, seen := at[c.Pour]
		if !seen {
			i = len(out)
			at[c.Pour] = i
			out = append(out, cutPour{pour: c.Pour, date: tables.NoDate})
		}
		out[i].cuts = append(out[i].cuts, c)
	}
	for _, p := range b.res.Plaster.Pours {
		if i, ok := at[p.Pour]; ok {
			out[i].date, out[i].maker = p.Date, p.Maker
		}
	}
	slices.SortStableFunc(out, func(x, y cutPour) int {
		switch {
		case x.date.Valid() != y.date.Valid():
			if y.date.Valid() {
				return -1
			}
			return 1
		case !x.date.Valid():
			return 0
		}
		return int(y.date - x.date)
	})
	return out
}

func cutListColumns(in written) []column[cutPour] {
	return []column[cutPour]{
		{head: "Pour", most: 30, least: 14, value: func(r cutPour) value { return words(r.pour) }},
		{head: "Date", least: 14, value: func(r cutPour) value { return in.day(r.date) }},
		{head: "Maker", least: 12, value: func(r cutPour) value { return words(r.maker) }},
		{head: "Heights measured", least: 16, value: func(r cutPour) value { return whole(len(r.cuts)) }},
		{head: in.ofLength("Smallest gap"), least: 14, value: func(r cutPour) value { return in.ruler(r.smallestGap()) }},
		{head: "Look at", most: 24, least: 20, value: func(r cutPour) value { return words(r.words(in)) }},
	}
}

func (p cutPour) smallestGap() float64 {
	least := tables.Absent()
	for _, c := range p.cuts {
		if known(c.GapMM) && !(least <= c.GapMM) {
			least = c.GapMM
		}
	}
	return least
}

func (p cutPour) words(in written) string {
	if slices.ContainsFunc(p.cuts, func(c tables.CutDepth) bool { return known(c.CutMM) && c.CutMM <= 0 }) {
		return noRoom
	}
	if p.smallestGap() < thinnestGapMM {
		return in.hasThin()
	}
	return ""
}

// cutBlock writes the cuts of one pour in large print, kept on one page where it fits one.
func (s *sheet) cutBlock(p cutPour) {
	const rowHeight, frame = 24.0, 100.0 // points
	s.keepTogether(rowHeight*float64(len(p.cuts)+1) + frame)
	title := "Pour " + p.pour
	in := s.b.written()
	for _, part := range []string{in.days.Day(p.date), p.maker} {
		if part != "" && part != format.Dash {
			title += " · " + part
		}
	}
	s.section(title)
	cols := in.cutColumns()
	values := make([]value, len(cols))
	heads := make([]string, len(cols))
	for i, c := range cols {
		values[i], heads[i] = words(c.head), c.head
	}
	s.line(s.next, headHeight(heads, s.widths), headLook(), values...)
	for _, c := range p.cuts {
		values := make([]value, len(cols))
		looks := make([]look, len(cols))
		for i, col := range cols {
			values[i] = col.value(c)
			looks[i] = ofTable(values[i], benchSize)
			looks[i].bold = strings.HasPrefix(col.head, "Cut ")
			looks[i].across = "right"
		}
		last := len(values) - 1
		looks[last].size, looks[last].across = bodySize, "left"
		switch in.cutWords(c) {
		case noCutWords:
			looks[last].fill, looks[last].ink, looks[last].bold = actFill, actInk, true
		case in.thinWords():
			looks[last].fill, looks[last].ink = soonFill, soonInk
		}
		s.row(s.next, rowHeight, looks, values)
	}
	s.paragraph(s.next, noteLook(), "Only as good as the measured gaps: between heights and directions the model may stand nearer. Stop short where in doubt. Clamp the mold; hands behind the blade.")
}

// cutColumns are those of a block: in metric units with what a ruler in inches reads beside.
func (w written) cutColumns() []column[tables.CutDepth] {
	type row = tables.CutDepth
	watch := column[row]{head: "Watch", value: func(r row) value { return words(w.cutWords(r)) }}
	if w.units == format.US {
		return []column[row]{
			{head: "Height (in)", value: func(r row) value { return words(w.units.Ruler(r.HeightMM)) }},
			{head: "Gap (in)", value: func(r row) value { return words(w.units.Ruler(r.GapMM)) }},
			{head: "Cut no deeper than (in)", value: func(r row) value { return inches(r.CutMM) }},
			watch,
		}
	}
	return []column[row]{
		{head: "Height (mm)", value: func(r row) value { return w.ruler(r.HeightMM) }},
		{head: "Height (in)", value: func(r row) value { return inches(r.HeightMM) }},
		{head: "Gap (mm)", value: func(r row) value { return w.ruler(r.GapMM) }},
		{head: "Cut no deeper than (mm)", value: func(r row) value { return w.rulerDown(r.CutMM) }},
		{head: "Cut (in)", value: func(r row) value { return inches(r.CutMM) }},
		watch,
	}
}

// thinWords and hasThin warn of gaps in plaster that is too thin.
func (w written) thinWords() string { return "thin: under " + w.units.Ruler(thinnestGapMM) }
func (w written) hasThin() string   { return "has gaps under " + w.units.Ruler(thinnestGapMM) }

// inches is a length as on a ruler, to a sixteenth, rounded down.
func inches(mm float64) value {
	if text := format.InchesDown(mm, 16); text != format.Dash {
		return words(text)
	}
	return value{}
}

func (w written) cutWords(c tables.CutDepth) string {
	switch {
	case known(c.CutMM) && c.CutMM <= 0:
		return noCutWords
	case c.GapMM < thinnestGapMM:
		return w.thinWords()
	}
	return ""
}
