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
	for i := range r.shelves.molds.all {
		m := &r.shelves.molds.all[i]
		l := lives[m.Mold]
		if l == nil {
			l = &life{mold: m.Mold, poured: tables.NoDate}
			lives[m.Mold] = l
		}
		l.from, l.ended = m.InService, m.EndedOn
		r.checkEnd(m, l)
	}
	casts := r.shelves.casts
	names := casts.pack.Names(casts.at.mold)
	ofName := make([]*life, len(names))
	for k, name := range names {
		ofName[k] = lives[name]
	}
	casts.eachDated(casts.at.mold, func(row int, name uint32, day tables.Date) {
		if l := ofName[name]; l != nil && l.without(day) {
			r.checkCast(row, day, l)
		}
	})
}

// without reports whether a day lies outside of the life of a mold.
func (l *life) without(day tables.Date) bool {
	return l.ended.Valid() && day > l.ended || l.poured.Valid() && day < l.poured || l.from.Valid() && day < l.from
}

// moldsMade finds when each mold was poured: by the pour that the molds sheet
// names, else by the first pour that names the mold and did not fail.
func (r *reader) moldsMade() map[string]*life {
	lives := map[string]*life{}
	pours := r.shelves.pours.all
	dates := map[string]tables.Date{}
	inParts := map[string]bool{} // molds that are poured part by part
	for i := range r.shelves.molds.all {
		if m := &r.shelves.molds.all[i]; m.Kind == "multi-part" {
			inParts[m.Mold] = true
		}
	}
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
		if !inParts[p.Mold] {
			r.note(p.Origin, "mold", tables.Problem{
				Code: CodePouredTwice, Severity: tables.Notice, Value: p.Mold,
				Message: fmt.Sprintf("pours “%s” and “%s” are both said to have made mold “%s”; both are used", shown(l.pour), shown(p.Pour), shown(p.Mold)),
				Mend:    "give the outcome of the pour that failed, or each mold a name of its own",
			})
		}
		if p.Date < l.poured {
			l.poured, l.pour = p.Date, p.Pour
		}
	}
	for i := range r.shelves.molds.all {
		m := &r.shelves.molds.all[i]
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
func (r *reader) checkCast(row int, date tables.Date, l *life) {
	p := tables.Problem{Severity: tables.Notice, Value: date.String()}
	switch {
	case l.ended.Valid() && date > l.ended:
		p.Code = CodeCastAfterEnd
		p.Message = fmt.Sprintf("the cast is dated %s, but mold “%s” ended on %s; the cast is used", date, shown(l.mold), l.ended)
		p.Mend = "correct the date of the cast, its mold, or the day the mold ended"
	case l.poured.Valid() && date < l.poured:
		p.Code = CodeCastBeforePour
		p.Message = fmt.Sprintf("the cast is dated %s, but mold “%s” was poured on %s (pour “%s”); the cast is used", date, shown(l.mold), l.poured, shown(l.pour))
		p.Mend = "correct the date of the cast, its mold, or the date of the pour"
	default:
		p.Code = CodeCastBeforeStart
		p.Message = fmt.Sprintf("the cast is dated %s, but mold “%s” came into service on %s; the cast is used", date, shown(l.mold), l.from)
		p.Mend = "correct the date of the cast, its mold, or the mold's first day"
	}
	r.note(r.shelves.casts.origin(row), "date", p)
}

// slipDates notes slips that are dated after a cast that used them, once each.
func (r *reader) slipDates() {
	mixed := map[string]tables.Date{}
	for _, s := range r.shelves.slips.all {
		if s.Date.Valid() {
			mixed[s.Slip] = s.Date
		}
	}
	if len(mixed) == 0 {
		return
	}
	casts := r.shelves.casts
	names, same := casts.pack.Names(casts.at.slip), casts.alike(casts.at.slip)
	first, times := make([]int, len(names)), make([]int, len(names)) // by name, its first such cast
	mixedOn := make([]tables.Date, len(names))
	for k, name := range names {
		if mixedOn[k] = tables.NoDate; k > 0 {
			if date, ok := mixed[name]; ok {
				mixedOn[k] = date
			}
		}
	}
	var order []int
	casts.eachDated(casts.at.slip, func(row int, name uint32, day tables.Date) {
		if day >= mixedOn[name] {
			return
		}
		k := same[name]
		if times[k]++; times[k] == 1 {
			first[k] = row
			order = append(order, k)
		}
	})
	for _, k := range order {
		slip := names[k]
		r.note(casts.origin(first[k]), "slip", tables.Problem{
			Code: CodeSlipAfterCast, Severity: tables.Notice, Value: slip,
			Message: fmt.Sprintf("slip “%s” is dated %s, after it was cast (%s, the first on %s); the casts are used", shown(slip), mixedOn[k], rowsOf(times[k]), casts.day(first[k])),
			Mend:    "correct the date of the slip or of the cast; a slip that was adjusted needs a name of its own",
		})
	}
}

// ages notes where the age written with casts is not the number of casts that
// their mold had made before. What it had made before the log is what the molds
// sheet says, or else follows from the first age that is written. Each mold is
// noted once, at its first such cast.
func (r *reader) ages() {
	casts := r.shelves.casts
	if casts.pack.Absent(casts.at.age) {
		return
	}
	names, same := casts.pack.Names(casts.at.mold), casts.alike(casts.at.mold)
	written := make([]bool, len(names))
	for row := range casts.rows() {
		if casts.age(row) != tables.NoCount {
			written[same[casts.pack.Name(casts.at.mold, row)]] = true
		}
	}
	before := map[string]int{}
	for i := range r.shelves.molds.all {
		if m := &r.shelves.molds.all[i]; m.CastsBeforeLog != tables.NoCount {
			before[m.Mold] = int(m.CastsBeforeLog)
		}
	}
	var order []int
	ofMold := make([][]int32, len(names))
	for row := range casts.rows() {
		if k := same[casts.pack.Name(casts.at.mold, row)]; written[k] && casts.day(row).Valid() {
			if ofMold[k] == nil {
				order = append(order, k)
			}
			ofMold[k] = append(ofMold[k], int32(row))
		}
	}
	for _, k := range order {
		start, told := before[names[k]]
		r.checkAges(names[k], casts.inTime(ofMold[k]), start, told)
	}
}

// inTime sorts casts of one mold by day and, where all casts of the day have one,
// by time.
func (s *castShelf) inTime(rows []int32) []int32 {
	slices.SortStableFunc(rows, func(a, b int32) int { return cmp.Compare(s.day(int(a)), s.day(int(b))) })
	for from := 0; from < len(rows); {
		to, timed := from, true
		for ; to < len(rows) && s.day(int(rows[to])) == s.day(int(rows[from])); to++ {
			timed = timed && tables.Has(s.minute(int(rows[to])))
		}
		if timed {
			slices.SortStableFunc(rows[from:to], func(a, b int32) int { return cmp.Compare(s.minute(int(a)), s.minute(int(b))) })
		}
		from = to
	}
	return rows
}

func (r *reader) checkAges(mold string, rows []int32, before int, told bool) {
	casts := r.shelves.casts
	wrong, first, counted := 0, -1, 0
	for k, row := range rows {
		age := casts.age(int(row))
		if age == tables.NoCount {
			continue
		}
		if !told {
			before, told = int(age)-k, true
		}
		if int(age) != before+k {
			if wrong++; wrong == 1 {
				first, counted = int(row), before+k
			}
		}
	}
	if wrong == 0 {
		return
	}
	age := casts.age(first)
	r.note(casts.origin(first), "age", tables.Problem{
		Code: CodeAgeConflict, Severity: tables.Notice, Value: fmt.Sprint(age),
		Message: fmt.Sprintf("mold “%s” is said to have made %d casts before this one, but the log comes to %d; so in %s of this mold. The casts are counted as they stand in the log", shown(mold), age, counted, rowsOf(wrong)),
		Mend:    "look for casts that are missing from the log or stand in it twice; write casts_before_log on the molds sheet if the log begins late",
	})
}
