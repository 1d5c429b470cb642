package workbook

import (
	"slices"

	"moldwright/pipeline/tables"
)

// moldRow is all that is known of one mold, side by side.
type moldRow struct {
	state tables.MoldState
	left  tables.RemainingCasts // absent numbers where there is no forecast
	watch string
	look  string
}

// Words of the action columns. Conditional formats go by them.
const (
	flaggedWords   = "watch"
	endedWords     = "wore early" // flagged, but no longer in use
	unflaggedWords = "no sign"
	fewWords       = "few casts left"
	soonWords      = "may end soon"
	enoughWords    = "enough for now"
)

// fewCasts is the number of remaining casts at which a new mold should be on its
// way, the same as in the advice: about a week of casting, and of drying a new mold.
const fewCasts = 5

// molds is the shelf at a glance.
func (b *book) molds() {
	if len(b.res.Wall.States) == 0 {
		return
	}
	rows := b.moldRows()
	marks := []mark{
		{on: "Watch", words: flaggedWords, columns: []string{"Mold", "Watch"}, tone: toneAct},
		{on: "Outlook", words: fewWords, columns: []string{"Outlook"}, tone: toneAct},
		{on: "Outlook", words: soonWords, columns: []string{"Outlook"}, tone: toneSoon},
	}
	wear := table[moldRow]{name: "wear_table", full: "tables/mold_state.csv", columns: wearColumns(b.written()), rows: rows, rank: rankByMarks(table[moldRow]{columns: moldColumns(), marks: marks})}
	s, _ := openTable(b, page{
		name: moldsSheet, below: widthsOf(wear), title: "What each mold is today", wide: true, once: true,
		note: "One row a mold, those in use first; below, how fast each casts and wears. Ranges hold 90 % for the next wall, 95 % for wear, and 80 % for the casts left. An empty cell is not known.",
	}, table[moldRow]{
		name: "molds_table", full: "tables/mold_state.csv", columns: moldColumns(), rows: rows, marks: marks,
		about: func(r moldRow) string { return r.state.Mold }, figure: func(moldRow) string { return "Casts left" },
	})
	s.keyFigures(figuresHeading, b.shelfFigures())
	s.section("How fast each mold casts and wears")
	addTable(s, wear)
	s.notes("Words", []string{
		"Rate is wall² divided by dwell at the mold's usual dwell: the higher, the thirstier the mold. Wear is the part of the wall that is lost per cast at one and the same dwell; below zero the mold still improves.",
		"Watch: the mold wears out earlier than its kind, see the watch list. Outlook: “" + fewWords + "” where the middle forecast is 5 casts or fewer; “" + soonWords + "” where one such mold in ten has 5 or fewer.",
	})
	s.pictures(b.chartsFor(moldsSheet))
	s.close()
}

func (b *book) moldRows() []moldRow {
	left := map[string]tables.RemainingCasts{}
	for _, r := range b.res.Life.Remaining {
		left[r.Mold] = r
	}
	_, status := b.formsAndStatus()
	watch := map[string]string{}
	for _, w := range b.res.Watch.Molds {
		watch[w.Mold] = flagWords(w.Flagged, status[w.Mold])
	}
	var rows []moldRow
	for _, s := range b.res.Wall.States {
		r, ok := left[s.Mold]
		if !ok {
			no := tables.Absent()
			r = tables.RemainingCasts{RemainingP10: no, RemainingP50: no, RemainingP90: no}
		}
		rows = append(rows, moldRow{state: s, left: r, watch: watch[s.Mold], look: outlook(r)})
	}
	slices.SortStableFunc(rows, func(a, b moldRow) int { return ended(a.state) - ended(b.state) })
	return rows
}

// formsAndStatus are each mold's form and status, by mold.
func (b *book) formsAndStatus() (forms, status map[string]string) {
	forms, status = map[string]string{}, map[string]string{}
	for _, s := range b.res.Wall.States {
		forms[s.Mold], status[s.Mold] = s.Form, s.Status
	}
	return forms, status
}

func ended(s tables.MoldState) int {
	if s.Status == inUse || s.Status == "" {
		return 0
	}
	return 1
}

const inUse = "in use"

// flagWords says what the watch list has on a mold. One that has ended needs no watching.
func flagWords(flagged bool, status string) string {
	switch {
	case !flagged:
		return unflaggedWords
	case status == inUse || status == "":
		return flaggedWords
	}
	return endedWords
}

// outlook says in words what a forecast means for the shelf; "" without one.
func outlook(r tables.RemainingCasts) string {
	switch {
	case !known(r.RemainingP50):
		return ""
	case r.RemainingP50 <= fewCasts:
		return fewWords
	case known(r.RemainingP10) && r.RemainingP10 <= fewCasts:
		return soonWords
	}
	return enoughWords
}

func moldColumns() []column[moldRow] {
	return []column[moldRow]{
		{head: "Mold", value: func(r moldRow) value { return words(r.state.Mold) }},
		{head: "Form", value: func(r moldRow) value { return words(r.state.Form) }},
		{head: "Kind", value: func(r moldRow) value { return words(r.state.Kind) }},
		{head: "Status", value: func(r moldRow) value { return words(r.state.Status) }},
		{head: "Watch", value: func(r moldRow) value { return words(r.watch) }},
		{head: "Outlook", value: func(r moldRow) value { return words(r.look) }},
		{head: "Casts made", value: func(r moldRow) value { return count(r.state.AgeCasts) }},
		{head: "Casts left", value: func(r moldRow) value { return casts(r.left.RemainingP50) }},
		{head: "Casts left, range", value: func(r moldRow) value { return span(casts(r.left.RemainingP10), casts(r.left.RemainingP90)) }},
		{head: "Likely end", value: func(r moldRow) value { return words(r.left.LikelyCause) }},
	}
}

func wearColumns(in written) []column[moldRow] {
	return []column[moldRow]{
		{head: "Wear of mold", value: func(r moldRow) value { return words(r.state.Mold) }},
		{head: "Usual dwell (min)", value: func(r moldRow) value { return dwellMin(r.state.UsualDwellMin) }},
		{head: in.ofLength("Next wall"), value: func(r moldRow) value { return in.wall(r.state.NextWallMM) }},
		{head: in.ofLength("Next wall, range"), value: func(r moldRow) value {
			return span(in.wall(r.state.NextWallLower90), in.wall(r.state.NextWallUpper90))
		}},
		{head: in.ofRate("Rate"), value: func(r moldRow) value { return in.rate(r.state.RateMM2PerMin) }},
		{head: "Wear per cast", value: func(r moldRow) value { return finePercent(r.state.WearPerCast) }},
		{head: "Wear, range", value: func(r moldRow) value {
			return span(finePercent(r.state.WearLower95), finePercent(r.state.WearUpper95))
		}},
	}
}

// remaining is the forecast of every mold in service, the nearest end first.
func (b *book) remaining() {
	rows := slices.Clone(b.res.Life.Remaining)
	if len(rows) == 0 {
		return
	}
	slices.SortStableFunc(rows, func(x, y tables.RemainingCasts) int { return byNumber(x.RemainingP50, y.RemainingP50) })
	endings := table[tables.RemainingCasts]{name: "endings_table", full: "tables/remaining_casts.csv", columns: endingColumns(), rows: rows, pressing: true}
	s, a := openTable(b, page{
		name: remainingSheet, below: widthsOf(endings), title: "How many casts each mold still has", wide: true, once: true,
		note: "Molds in use, the nearest end first. Of ten molds like this one, nine make more casts than the low figure and one makes more than the high figure; the middle figure is as likely to be passed as not.",
	}, table[tables.RemainingCasts]{
		name: "remaining_table", full: "tables/remaining_casts.csv", columns: remainingColumns(), rows: rows, pressing: true,
		about: func(r tables.RemainingCasts) string { return r.Mold }, figure: func(tables.RemainingCasts) string { return leftMiddle },
		marks: []mark{
			{on: "Outlook", words: fewWords, columns: []string{"Mold", "Outlook"}, tone: toneAct},
			{on: "Outlook", words: soonWords, columns: []string{"Mold", "Outlook"}, tone: toneSoon},
		},
	})
	s.keyFigures(figuresHeading, b.remainingFigures())
	s.chartOfRemaining(a)
	s.section("Why: the ways in which each mold may end")
	addTable(s, endings)
	s.notes("What a reader must know", b.res.Life.Notes)
	s.pictures(b.chartsFor(remainingSheet))
	s.close()
}

func remainingColumns() []column[tables.RemainingCasts] {
	type row = tables.RemainingCasts
	return []column[row]{
		{head: "Mold", value: func(r row) value { return words(r.Mold) }},
		{head: "Form", value: func(r row) value { return words(r.Form) }},
		{head: "Kind", value: func(r row) value { return words(r.Kind) }},
		{head: "Outlook", value: func(r row) value { return words(outlook(r)) }},
		{head: "Casts made", value: func(r row) value { return count(r.AgeCasts) }},
		{head: "Likely end", value: func(r row) value { return words(r.LikelyCause) }},
		{head: leftLow, value: func(r row) value { return casts(r.RemainingP10) }},
		{head: leftMiddle, value: func(r row) value { return casts(r.RemainingP50) }},
		{head: leftHigh, value: func(r row) value { return casts(r.RemainingP90) }},
		{head: "Chance of 5 more", value: func(r row) value { return percent(r.Survive5) }},
		{head: "Chance of 10 more", value: func(r row) value { return percent(r.Survive10) }},
		{head: "Chance of 20 more", value: func(r row) value { return percent(r.Survive20) }},
	}
}

func endingColumns() []column[tables.RemainingCasts] {
	type row = tables.RemainingCasts
	return []column[row]{
		{head: "Ending of mold", value: func(r row) value { return words(r.Mold) }},
		{head: "Chance of ending too slow", value: func(r row) value { return percent(r.ChanceSlow) }},
		{head: "Chance of ending worn or broken", value: func(r row) value { return percent(r.ChanceWorn) }},
		{head: "Chance of too many faults", value: func(r row) value { return percent(r.ChanceFaults) }},
		{head: "Chance: past its limit now", value: func(r row) value { return percent(r.ChancePastLimit) }},
		{head: "Rests on", most: 32, value: func(r row) value { return words(r.Basis) }},
	}
}

const (
	leftLow    = "Casts left, low"
	leftMiddle = "Casts left, middle"
	leftHigh   = "Casts left, high"
)

// chartOfRemaining shows the molds nearest their end.
func (s *sheet) chartOfRemaining(a area) {
	const most = 40
	s.bars(a, bars{
		heading: "Casts left, as a chart that follows the table's filter",
		title:   "Which molds end first?", axis: "further casts", labels: "Mold",
		alt:    "Bar chart of the low, middle and high forecast of remaining casts of each mold, from the table above.",
		values: []string{leftLow, leftMiddle, leftHigh}, colors: []string{"8C4A2F", "5E7E92", "C9D3D8"},
		from: 0, to: min(a.rows, most),
	})
}

// byNumber orders numbers upwards, absent ones last.
func byNumber(x, y float64) int {
	switch {
	case known(x) && known(y):
		if x < y {
			return -1
		}
		if x > y {
			return 1
		}
		return 0
	case known(x):
		return -1
	case known(y):
		return 1
	}
	return 0
}
