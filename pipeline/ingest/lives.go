package ingest

import (
	"cmp"
	"fmt"
	"slices"

	"moldwright/pipeline/tables"
)

// life is what the tables say about when a mold was there.
type life struct {
	mold   string
	poured tables.Date // NoDate where not known
	pour   string      // that made it
	from   tables.Date // first day in use
	ended  tables.Date
}

// lives notes dates that contradict the life of a mold: of its own row first,
// then of its casts. All rows are used, because none shows which date is wrong.
func (r *reader) lives() {
	lives := r.moldsMade()
	for i := range r.shelves.molds.rows {
		m := &r.shelves.molds.rows[i]
		l := lives[m.Mold]
		if l == nil {
			l = &life{mold: m.Mold, poured: tables.NoDate}
			lives[m.Mold] = l
		}
		l.from, l.ended = m.InService, m.EndedOn
		r.checkEnd(m, l)
	}
	casts := r.shelves.casts.rows
	for i := range casts {
		if l := lives[casts[i].Mold]; l != nil && casts[i].Date.Valid() {
			r.checkCast(&casts[i], l)
		}
	}
}

// moldsMade finds when each mold was poured: by the pour that the molds sheet
// names, else by the first pour that names the mold and did not fail.
func (r *reader) moldsMade() map[string]*life {
	lives := map[string]*life{}
	pours := r.shelves.pours.rows
	dates := map[string]tables.Date{}
	for i := range pours {
		p := &pours[i]
		dates[p.Pour] = p.Date
		if p.Mold == "" || p.Outcome != "" && p.Outcome != "good" {
			continue
		}
		l := lives[p.Mold]
		if l == nil {
			lives[p.Mold] = &life{mold: p.Mold, poured: p.Date, pour: p.Pour, from: tables.NoDate, ended: tables.NoDate}
			continue
		}
		r.note(p.Origin, "mold", tables.Problem{
			Code: CodePouredTwice, Severity: tables.Notice, Value: p.Mold,
			Message: fmt.Sprintf("pours “%s” and “%s” are both said to have made mold “%s”; both are used", shown(l.pour), shown(p.Pour), shown(p.Mold)),
			Mend:    "give the outcome of the pour that failed, or each mold a name of its own",
		})
		if p.Date < l.poured {
			l.poured, l.pour = p.Date, p.Pour
		}
	}
	for i := range r.shelves.molds.rows {
		m := &r.shelves.molds.rows[i]
		if date, ok := dates[m.Pour]; ok && m.Pour != "" {
			lives[m.Mold] = &life{mold: m.Mold, poured: date, pour: m.Pour}
		}
	}
	return lives
}

// checkEnd notes an end that cannot be.
func (r *reader) checkEnd(m *tables.Mold, l *life) {
	p := tables.Problem{Code: CodeEndConflict, Severity: tables.Notice, Value: m.EndedOn.String(), Mend: "correct one of the two"}
	switch {
	case !m.EndedOn.Valid():
		return
	case m.Status == "in use":
		p.Message = fmt.Sprintf("mold “%s” is in use, but ended on %s", shown(m.Mold), m.EndedOn)
	case m.InService.Valid() && m.EndedOn < m.InService:
		p.Message = fmt.Sprintf("mold “%s” ended on %s, before its first day in use, %s", shown(m.Mold), m.EndedOn, m.InService)
	case l.poured.Valid() && m.EndedOn < l.poured:
		p.Message = fmt.Sprintf("mold “%s” ended on %s, before pour “%s” made it on %s", shown(m.Mold), m.EndedOn, shown(l.pour), l.poured)
	default:
		return
	}
	r.note(m.Origin, "ended_on", p)
}

// checkCast notes a cast that is dated outside of the life of its mold.
func (r *reader) checkCast(c *tables.Cast, l *life) {
	p := tables.Problem{Severity: tables.Notice, Value: c.Date.String()}
	switch {
	case l.ended.Valid() && c.Date > l.ended:
		p.Code = CodeCastAfterEnd
		p.Message = fmt.Sprintf("the cast is dated %s, but mold “%s” ended on %s; the cast is used", c.Date, shown(l.mold), l.ended)
		p.Mend = "correct the date of the cast, its mold, or the day the mold ended"
	case l.poured.Valid() && c.Date < l.poured:
		p.Code = CodeCastBeforePour
		p.Message = fmt.Sprintf("the cast is dated %s, but mold “%s” was poured on %s (pour “%s”); the cast is used", c.Date, shown(l.mold), l.poured, shown(l.pour))
		p.Mend = "correct the date of the cast, its mold, or the date of the pour"
	case l.from.Valid() && c.Date < l.from:
		p.Code = CodeCastBeforeStart
		p.Message = fmt.Sprintf("the cast is dated %s, but mold “%s” came into service on %s; the cast is used", c.Date, shown(l.mold), l.from)
		p.Mend = "correct the date of the cast, its mold, or the mold's first day"
	default:
		return
	}
	r.note(c.Origin, "date", p)
}

// slipDates notes slips that are dated after a cast that used them, once each.
func (r *reader) slipDates() {
	mixed := map[string]tables.Date{}
	for _, s := range r.shelves.slips.rows {
		if s.Date.Valid() {
			mixed[s.Slip] = s.Date
		}
	}
	if len(mixed) == 0 {
		return
	}
	casts := r.shelves.casts.rows
	first := map[string]int{} // slip to its first such cast
	times := map[string]int{}
	var order []string
	for i := range casts {
		c := &casts[i]
		date, ok := mixed[c.Slip]
		if !ok || !c.Date.Valid() || c.Date >= date {
			continue
		}
		if times[c.Slip]++; times[c.Slip] == 1 {
			first[c.Slip] = i
			order = append(order, c.Slip)
		}
	}
	for _, slip := range order {
		c := &casts[first[slip]]
		r.note(c.Origin, "slip", tables.Problem{
			Code: CodeSlipAfterCast, Severity: tables.Notice, Value: slip,
			Message: fmt.Sprintf("slip “%s” is dated %s, after it was cast (%s, the first on %s); the casts are used", shown(slip), mixed[slip], rowsOf(times[slip]), c.Date),
			Mend:    "correct the date of the slip or of the cast; a slip that was adjusted needs a name of its own",
		})
	}
}

// ages notes where the age written with casts is not the number of casts that
// their mold had made before. What it had made before the log is what the molds
// sheet says, or else follows from the first age that is written. Each mold is
// noted once, at its first such cast.
func (r *reader) ages() {
	casts := r.shelves.casts.rows
	written := map[string]bool{}
	for i := range casts {
		if casts[i].Age != tables.NoCount {
			written[casts[i].Mold] = true
		}
	}
	if len(written) == 0 {
		return
	}
	before := map[string]int{}
	for i := range r.shelves.molds.rows {
		if m := &r.shelves.molds.rows[i]; m.CastsBeforeLog != tables.NoCount {
			before[m.Mold] = int(m.CastsBeforeLog)
		}
	}
	var order []string
	rows := map[string][]int{}
	for i := range casts {
		if mold := casts[i].Mold; written[mold] && casts[i].Date.Valid() {
			if rows[mold] == nil {
				order = append(order, mold)
			}
			rows[mold] = append(rows[mold], i)
		}
	}
	for _, mold := range order {
		start, told := before[mold]
		r.checkAges(mold, inTime(casts, rows[mold]), start, told)
	}
}

// inTime sorts casts of one mold by day and, where all casts of the day have one,
// by time.
func inTime(casts []tables.Cast, rows []int) []int {
	slices.SortStableFunc(rows, func(a, b int) int { return cmp.Compare(casts[a].Date, casts[b].Date) })
	for from := 0; from < len(rows); {
		to, timed := from, true
		for ; to < len(rows) && casts[rows[to]].Date == casts[rows[from]].Date; to++ {
			timed = timed && tables.Has(casts[rows[to]].TimeMin)
		}
		if timed {
			slices.SortStableFunc(rows[from:to], func(a, b int) int { return cmp.Compare(casts[a].TimeMin, casts[b].TimeMin) })
		}
		from = to
	}
	return rows
}

func (r *reader) checkAges(mold string, rows []int, before int, told bool) {
	casts := r.shelves.casts.rows
	wrong, first, counted := 0, -1, 0
	for k, i := range rows {
		age := casts[i].Age
		if age == tables.NoCount {
			continue
		}
		if !told {
			before, told = int(age)-k, true
		}
		if int(age) != before+k {
			if wrong++; wrong == 1 {
				first, counted = i, before+k
			}
		}
	}
	if wrong == 0 {
		return
	}
	c := &casts[first]
	r.note(c.Origin, "age", tables.Problem{
		Code: CodeAgeConflict, Severity: tables.Notice, Value: fmt.Sprint(c.Age),
		Message: fmt.Sprintf("mold “%s” is said to have made %d casts before this one, but the log comes to %d; so in %s of this mold. The casts are counted as they stand in the log", shown(mold), c.Age, counted, rowsOf(wrong)),
		Mend:    "look for casts that are missing from the log or stand in it twice; write casts_before_log on the molds sheet if the log begins late",
	})
}
