package workbook

import (
	"fmt"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// guideRow is one mold of the dwell guide: the dwell at each coming age.
type guideRow struct {
	mold, form string
	age        tables.Count
	target     float64 // mm
	longest    float64 // longest dwell accepted for the form, min
	steps      map[tables.Count]tables.DwellGuide
}

// tooLong marks a dwell beyond the longest that the studio accepts.
const tooLong = " !"

// dwellGuide is laid out to be printed on one sheet and taped to the wall.
func (b *book) dwellGuide() {
	rows := b.guideRows()
	if len(rows) == 0 {
		return
	}
	since := "today"
	if d := b.asOf(); d.Valid() {
		since = b.res.Settings.Days.Day(d)
	}
	p := page{
		name: dwellSheet, title: "How long to leave the slip in, in minutes", wide: true,
		note: fmt.Sprintf("Count the casts that each mold has made since %s: +10 is for a mold that has made 10 more. Beside each dwell stands its range: nine casts of ten need a dwell within it. A sign “!” means longer than the longest dwell you accept for the form. "+
			"The shaded cells are yours to change: type another target wall or longest dwell and the row follows, by the law of each mold in the columns folded away on the right (its range to about 1 %%).", since),
	}
	if !b.res.Wall.Fitted {
		p.lead = "From common practice, not from your log: " + b.res.Wall.WhyNot
	}
	steps := stepsOf(rows)
	in := b.written()
	s, a := openTable(b, p, table[guideRow]{
		name: "dwell_table", full: "tables/dwell_guide.csv", columns: guideColumns(in, steps), rows: rows, most: mostGuideRows,
		rank:  func(r guideRow) int { return 2 - 2*count1(r.tooLong()) },
		about: func(r guideRow) string { return r.mold }, figure: func(guideRow) string { return stepHead(0) },
	})
	s.markTooLong(a, steps)
	for _, head := range []string{targetHead(in), longestHead} {
		col := a.column(head)
		s.positive(ref(col, a.first()) + ":" + ref(col, a.last()))
	}
	s.pictures(b.chartsFor(dwellSheet))
	s.close()
}

// guideRows puts the guide's ages of a mold side by side.
func (b *book) guideRows() []guideRow {
	longest := map[string]float64{}
	for _, f := range b.res.Studio.Forms.Rows() {
		longest[strings.ToLower(f.Form)] = f.LongestDwellMin
	}
	forms, _ := b.formsAndStatus()
	var rows []guideRow
	at := map[string]int{}
	for _, g := range b.res.Wall.Guide {
		i, ok := at[g.Mold]
		if !ok {
			i = len(rows)
			at[g.Mold] = i
			r := guideRow{mold: g.Mold, form: forms[g.Mold], age: g.AgeCasts, target: g.TargetWallMM,
				longest: tables.Absent(), steps: map[tables.Count]tables.DwellGuide{}}
			if l, ok := longest[strings.ToLower(r.form)]; ok {
				r.longest = l
			}
			rows = append(rows, r)
		}
		rows[i].steps[g.AgeCasts-rows[i].age] = g
	}
	return rows
}

// stepsOf lists the further casts at which any mold has a dwell, at most twelve.
func stepsOf(rows []guideRow) []tables.Count {
	const most = 12
	var steps []tables.Count
	seen := map[tables.Count]bool{}
	for _, r := range rows {
		for step := range r.steps {
			if !seen[step] {
				seen[step] = true
				steps = append(steps, step)
			}
		}
	}
	slices.Sort(steps)
	return steps[:min(len(steps), most)]
}

// mostGuideRows bounds the guide: each row works out seven dwells.
const mostGuideRows = 1000

func (r guideRow) tooLong() bool {
	g, ok := r.steps[0]
	return ok && known(r.longest) && g.DwellMin > r.longest
}

func guideColumns(in written, steps []tables.Count) []column[guideRow] {
	cols := []column[guideRow]{
		{head: "Mold", size: 12, value: func(r guideRow) value { return words(r.mold) }},
		{head: "Form", most: 14, value: func(r guideRow) value { return words(r.form) }},
		{head: targetHead(in), yours: true, value: func(r guideRow) value { return in.wall(r.target) }},
		{head: "Casts made", value: func(r guideRow) value { return count(r.age) }},
	}
	for _, step := range steps {
		cols = append(cols,
			column[guideRow]{head: stepHead(step), size: 14, value: func(r guideRow) value { return r.dwell(step) }},
			column[guideRow]{head: rangeHead(step), value: func(r guideRow) value { return r.dwellRange(step) }})
	}
	cols = append(cols, column[guideRow]{head: longestHead, yours: true, value: func(r guideRow) value { return dwellMin(r.longest) }})
	return append(cols, lawColumns(in, steps)...)
}

const longestHead = "Longest (min)"

func stepHead(step tables.Count) string {
	if step == 0 {
		return "Next (min)"
	}
	return fmt.Sprintf("+%d (min)", step)
}

func rangeHead(step tables.Count) string {
	if step == 0 {
		return "Range next"
	}
	return fmt.Sprintf("Range +%d", step)
}

// markTooLong colors the dwells that carry the sign for too long.
func (s *sheet) markTooLong(a area, steps []tables.Count) {
	limit, err := excelize.ColumnNumberToName(a.column(longestHead))
	if err != nil {
		return
	}
	style := s.b.toneWritten(toneAct, `[<10]0.0"`+tooLong+`";0"`+tooLong+`"`)
	for _, step := range steps {
		col := a.column(stepHead(step))
		first, exact := ref(col, a.first()), ref(a.column(lawHead(partDwell, step)), a.first())
		s.b.fail(s.b.file.SetConditionalFormat(s.name, first+":"+ref(col, a.last()), []excelize.ConditionalFormatOptions{{
			Type: "formula", Format: &style,
			Criteria: fmt.Sprintf(`AND(ISNUMBER($%s%d),ISNUMBER(%s),N($%s)>$%s%d)`, limit, a.first(), first, exact, limit, a.first()),
		}}))
	}
}
