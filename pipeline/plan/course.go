package plan

import (
	"math"
	"slices"

	"moldwright/pipeline/tables"
)

// state is one course of a scenario in one draw, day by day. It is used again for
// the next draw.
type state struct {
	sc   *scenario
	draw int

	life      []int   // casts that a mold makes, by mold of the scenario
	made      []int   // casts made
	madeByDue []int   // likewise when the last due day ended
	rest      []int   // middle forecast of casts, less those made
	ready     [][]int // molds in service, by form, in the order of filling
	wanting   []int   // open jobs that have begun, by form
	waiting   []int   // molds that will be in service later
	since     []int   // working day from which a mold is in service

	open    []int // jobs not done, in the order of service
	key     []float64
	dueOn   []bool    // working days on which a job is due
	rate    []float64 // pieces a day with all molds of a form, by form
	left    []int     // pieces missing, by job
	shortAt []int     // pieces missing after the due day, by job
	doneOn  []int     // by job
	casts   []int     // for a job up to its due day

	limit    int    // casts of the day
	unranked bool   // whether the order of service may be another than last time
	sorted   int    // day on which the order of filling was last made
	died     bool   // whether a mold ended since molds were last looked at
	touched  []bool // by form: whether molds came or were filled since they were sorted
	turn     []int  // by form: fillings that every mold has had today
	next     []int  // by form: place in ready of the next mold to fill
	today    []int  // by form: day for which turn and next hold

	actual *actual // a studio that is followed instead of a draw; nil for none

	only []int // jobs that are asked for; nil: all, and what molds made

	note func(day, mold, cast, job int) // told of every cast; nil for none
}

// run plays one draw.
func (st *state) run(sc *scenario, draw int) {
	st.begin(sc, draw)
	last := sc.lastDue(st.only)
	days := len(sc.shop.cal.days)
	if !sc.late {
		days = min(days, last+1)
	}
	for t := range days {
		if st.limit = st.most(t); st.limit > 0 {
			st.openMolds(t)
			st.day(t)
		}
		if st.limit > 0 || st.dueOn[t] {
			st.close(t)
		}
		if t == last {
			copy(st.madeByDue, st.made)
		}
		if len(st.open) == 0 || st.settled() || st.stuck() {
			if t < last {
				copy(st.madeByDue, st.made)
			}
			break
		}
	}
	for _, j := range st.open {
		if st.doneOn[j] == never && sc.shop.jobs[j].due >= 0 && st.shortAt[j] < 0 {
			st.shortAt[j] = st.left[j]
		}
	}
}

func (st *state) begin(sc *scenario, draw int) {
	sh := sc.shop
	if st.sc != sc {
		*st = state{
			sc: sc, note: st.note, only: st.only, actual: st.actual, life: make([]int, len(sc.molds)), rest: make([]int, len(sc.molds)), wanting: make([]int, len(sh.forms)), made: make([]int, len(sc.molds)), madeByDue: make([]int, len(sc.molds)), since: make([]int, len(sc.molds)),
			ready: make([][]int, len(sh.forms)), touched: make([]bool, len(sh.forms)), turn: make([]int, len(sh.forms)), next: make([]int, len(sh.forms)), today: make([]int, len(sh.forms)),
			key: make([]float64, len(sh.jobs)), rate: make([]float64, len(sh.forms)), dueOn: make([]bool, len(sh.cal.days)), left: make([]int, len(sh.jobs)), shortAt: make([]int, len(sh.jobs)),
			doneOn: make([]int, len(sh.jobs)), casts: make([]int, len(sh.jobs)),
		}
		for _, j := range sh.jobs {
			if j.due >= 0 && j.due < len(st.dueOn) {
				st.dueOn[j.due] = true
			}
		}
	}
	st.draw, st.died, st.sorted, st.unranked = draw, false, -sortEvery, true
	st.open, st.waiting = st.open[:0], st.waiting[:0]
	for f := range sh.forms {
		st.ready[f] = st.ready[f][:0]
		st.today[f], st.touched[f] = -1, true
	}
	for i := range sc.molds {
		m := &sc.molds[i]
		st.made[i], st.madeByDue[i], st.life[i], st.rest[i] = 0, 0, int(m.life[draw]), int(math.Round(m.median))
		if st.actual != nil {
			st.life[i] = math.MaxInt32
		}
		if st.life[i] <= 0 {
			continue
		}
		switch {
		case m.poured >= 0 && st.actual != nil:
			st.since[i] = st.actual.pour(sh, i, *m)
			st.waiting = append(st.waiting, i)
		case m.poured < 0:
			st.ready[m.form] = append(st.ready[m.form], i)
		case m.lead[draw] >= 0 && m.poured < len(sh.cal.days):
			st.since[i] = sh.cal.onOrAfter(sh.cal.days[m.poured] + tables.Date(m.lead[draw]))
			st.waiting = append(st.waiting, i)
		}
	}
	for j := range sh.jobs {
		jb := &sh.jobs[j]
		st.left[j], st.doneOn[j], st.casts[j], st.shortAt[j] = jb.pieces, never, 0, -1
		if jb.due < 0 {
			st.shortAt[j] = jb.pieces
		}
		st.open = append(st.open, j)
	}
}

// lastDue is the last due day of some jobs, of all where they are nil.
func (sc *scenario) lastDue(jobs []int) int {
	last := 0
	for j := range sc.shop.jobs {
		if jobs == nil || slices.Contains(jobs, j) {
			last = max(last, sc.shop.jobs[j].due)
		}
	}
	return last
}

// settled reports whether it is known of all jobs asked for if they are late.
func (st *state) settled() bool {
	for _, j := range st.only {
		if st.shortAt[j] < 0 {
			return false
		}
	}
	return st.only != nil
}

// sortEvery is how many days the order of filling stays.
const sortEvery = 3

// openMolds takes molds into service and puts those of each form in the order of
// filling: the one with the most casts left, by the middle forecast, first. So they
// wear evenly and many are left to work side by side.
func (st *state) openMolds(t int) {
	jobs := st.sc.shop.jobs
	keep := st.waiting[:0]
	come := false
	for _, i := range st.waiting {
		if st.since[i] <= t {
			f := st.sc.molds[i].form
			st.ready[f] = append(st.ready[f], i)
			come, st.touched[f] = true, true
		} else {
			keep = append(keep, i)
		}
	}
	st.waiting = keep
	for f := range st.wanting {
		st.wanting[f] = 0
	}
	for _, j := range st.open {
		if jobs[j].start <= t {
			st.wanting[jobs[j].form]++
		}
	}
	sort := come || t-st.sorted >= sortEvery
	if sort {
		st.sorted = t
	}
	for f := range st.ready {
		if st.wanting[f] == 0 && !st.died {
			continue
		}
		if st.died {
			r := st.ready[f][:0]
			for _, i := range st.ready[f] {
				if st.made[i] < st.life[i] {
					r = append(r, i)
				}
			}
			st.ready[f] = r
		}
		if sort && st.wanting[f] > 0 && st.touched[f] {
			st.sortForFilling(st.ready[f])
			st.touched[f] = false
		}
	}
	st.died = false
}

// sortForFilling is by insertion: the order changes little from time to time.
func (st *state) sortForFilling(r []int) {
	for a := 1; a < len(r); a++ {
		i := r[a]
		mine := st.rest[i]
		b := a
		for b > 0 && st.rest[r[b-1]] < mine {
			r[b] = r[b-1]
			b--
		}
		r[b] = i
	}
}

// day fills molds: for each order in turn as many as it lacks pieces, then on
// due days, with what capacity is left, so many more as rejects are to be feared.
func (st *state) day(t int) {
	sc, sh := st.sc, st.sc.shop
	limit := st.limit
	if len(st.open) > 1 && (st.unranked || sc.rule.changes()) {
		st.rank(t)
		st.unranked = false
	}
	dueToday := false
	for _, j := range st.open {
		if limit == 0 {
			return
		}
		jb := &sh.jobs[j]
		if jb.start > t {
			continue
		}
		dueToday = dueToday || jb.due == t
		limit -= st.fill(t, j, min(st.left[j], limit))
	}
	if !dueToday {
		return
	}
	for _, j := range st.open {
		jb := &sh.jobs[j]
		if jb.due == t && jb.start <= t && limit > 0 && st.left[j] > 0 {
			limit -= st.fill(t, j, min(reserve(st.left[j], sh.forms[jb.form].lost), limit))
		}
	}
}

// reserve is how many casts to make for so many pieces when no other day is left:
// enough in about nine of ten cases.
func reserve(pieces int, lost float64) int {
	n := float64(pieces)
	return int(math.Ceil((n + 1.3*math.Sqrt(n*lost)) / (1 - lost)))
}

// fill makes up to so many casts for a job and says how many were made.
func (st *state) fill(t, j, want int) int {
	sc := st.sc
	jb := &sc.shop.jobs[j]
	f := jb.form
	if st.today[f] != t {
		st.today[f], st.turn[f], st.next[f] = t, 0, 0
	}
	ready, slots := st.ready[f], sc.shop.forms[f].slots
	made := 0
	for made < want && len(ready) > 0 && st.turn[f] < slots {
		if st.next[f] == len(ready) {
			st.next[f] = 0
			st.turn[f]++
			continue
		}
		i := ready[st.next[f]]
		st.next[f]++
		k := st.made[i]
		if k >= st.life[i] {
			continue
		}
		st.made[i]++
		st.rest[i]--
		made++
		if k+1 == st.life[i] {
			st.died = true
		}
		if st.note != nil {
			st.note(t, i, k, j)
		}
		switch {
		case st.actual != nil:
			if st.cast(t, i) {
				st.left[j] = max(0, st.left[j]-1)
			}
		case st.left[j] > 0 && sc.molds[i].gives(st.draw, k):
			st.left[j]--
		}
	}
	st.touched[f] = st.touched[f] || made > 0
	if t <= jb.due {
		st.casts[j] += made
	}
	return made
}

// close ends a day: orders done leave, and of those due today is noted what lacks.
func (st *state) close(t int) {
	keep := st.open[:0]
	for _, j := range st.open {
		if st.sc.shop.jobs[j].due == t {
			st.shortAt[j] = st.left[j]
			st.unranked = true
		}
		if st.left[j] > 0 {
			keep = append(keep, j)
			continue
		}
		st.doneOn[j] = t
		if st.shortAt[j] < 0 {
			st.shortAt[j] = 0
		}
	}
	st.open = keep
}

// stuck reports whether no mold is left for any open order.
func (st *state) stuck() bool {
	if len(st.waiting) > 0 {
		return false
	}
	for _, j := range st.open {
		for _, i := range st.ready[st.sc.shop.jobs[j].form] {
			if st.made[i] < st.life[i] {
				return false
			}
		}
	}
	return true
}
