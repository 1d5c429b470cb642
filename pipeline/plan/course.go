package plan

import (
	"math"
	"slices"
)

// state is one course of a scenario in one draw, day by day. It is used again for
// the next draw.
type state struct {
	sc   *scenario
	draw int

	all       []filling // by mold of the scenario
	ofForm    [][]int   // molds by form
	madeByDue []int     // casts made when the last due day ended
	ready     [][]int   // molds in service, by form, in the order of filling
	waiting   []int     // molds that will be in service later

	forms []int // that are worked on: all, or one
	every []int // all forms

	open    []int // jobs not done, in the order of service
	key     []float64
	dueOn   []bool    // working days on which a job is due
	rate    []float64 // pieces a day with all molds of a form, by form
	left    []int     // pieces missing, by job
	shortAt []int     // pieces missing after the due day, by job
	doneOn  []int     // by job
	casts   []int     // for a job up to its due day

	caps     []int32 // casts of each day at most; nil: the shop's limit on all
	limit    int     // casts of the day
	last     int     // last due day of the jobs asked for
	unranked bool    // whether the order of service may be another than last time
	sorted   []int   // by form: day on which the order of filling was last made
	look     int     // day on which that of a form is made next, at the earliest
	died     bool    // whether a mold ended since molds were last looked at
	touched  []bool  // by form: whether molds came or were filled since they were sorted
	turn     []int   // by form: fillings that every mold has had today
	next     []int   // by form: place in ready of the next mold to fill
	today    []int   // by form: day for which turn and next hold

	use []int32 // by day: casts since begin, at most
	end int     // last day that was played since begin
	cut bool    // whether a day's limit kept an order from casts since begin

	tried, failed int // draws that were played apart, and those to be played together all the same

	actual *actual // a studio that is followed instead of a draw; nil for none

	only []int // jobs that are asked for; nil: all, and what molds made

	note func(day, mold, cast, job int) // told of every cast; nil for none
}

// filling is a mold in a draw.
type filling struct {
	life, made int      // casts that it makes, and has made
	rest       int      // middle forecast of casts, less those made
	since      int      // working day from which it is in service
	good       []uint64 // which of its casts give a piece
}

// run plays one draw.
func (st *state) run(sc *scenario, draw int) {
	st.begin(sc, draw)
	st.forms = st.every
	for j := range sc.shop.jobs {
		st.open = append(st.open, j)
	}
	st.start()
	st.play(st.day)
}

// play goes from day to day, each of which work fills and says which day it was.
func (st *state) play(work func(t int) int) {
	sc := st.sc
	st.last = sc.lastDue(st.only)
	last, days := st.last, len(sc.shop.cal.days)
	if !sc.late {
		days = min(days, last+1)
	}
	for t, look := 0, true; t < days; t++ {
		open := len(st.open)
		st.end = max(st.end, t)
		if st.limit = st.most(t); st.limit == 0 && !st.dueOn[t] && t != last {
			continue // nothing changes
		}
		if st.limit > 0 {
			st.openMolds(t)
			t = work(t)
		}
		if st.limit > 0 || st.dueOn[t] {
			st.close(t)
		}
		st.end = max(st.end, t)
		if t == last {
			st.noteMade()
		}
		// Orders are stuck only after a mold or an order ended.
		look = look || st.died || len(st.open) < open
		if len(st.open) == 0 || st.settled() || look && st.stuck() {
			if t < last {
				st.noteMade()
			}
			break
		}
		look = false
	}
	for _, j := range st.open {
		if st.doneOn[j] == never && sc.shop.jobs[j].due >= 0 && st.shortAt[j] < 0 {
			st.shortAt[j] = st.left[j]
		}
	}
}

// noteMade keeps what the molds have made by now.
func (st *state) noteMade() {
	for _, f := range st.forms {
		for _, i := range st.ofForm[f] {
			st.madeByDue[i] = st.all[i].made
		}
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
		if st.shortAt[j] < 0 || len(st.forms) == 1 && st.sc.shop.jobs[j].form != st.forms[0] {
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
	if len(st.waiting) > 0 {
		keep := st.waiting[:0]
		for _, i := range st.waiting {
			if st.all[i].since <= t {
				f := st.sc.molds[i].form
				st.ready[f] = append(st.ready[f], i)
				st.touched[f], st.sorted[f], st.look = true, min(st.sorted[f], t-sortEvery), t
			} else {
				keep = append(keep, i)
			}
		}
		st.waiting = keep
	}
	if !st.died && t < st.look {
		return
	}
	st.look = math.MaxInt
	for _, f := range st.forms {
		if st.died {
			r := st.ready[f][:0]
			for _, i := range st.ready[f] {
				if m := &st.all[i]; m.made < m.life {
					r = append(r, i)
				}
			}
			st.ready[f] = r
		}
		if t-st.sorted[f] >= sortEvery {
			st.sorted[f] = t
			if st.touched[f] && st.wanted(f, t) {
				st.sortForFilling(st.ready[f])
				st.touched[f] = false
			}
		}
		st.look = min(st.look, st.sorted[f]+sortEvery)
	}
	st.died = false
}

// wanted reports whether an order of the form has begun and is open.
func (st *state) wanted(form, t int) bool {
	for _, j := range st.open {
		if jb := &st.sc.shop.jobs[j]; jb.form == form && jb.start <= t {
			return true
		}
	}
	return false
}

// sortForFilling is by insertion: the order changes little from time to time.
func (st *state) sortForFilling(r []int) {
	for a := 1; a < len(r); a++ {
		i := r[a]
		mine := st.all[i].rest
		b := a
		for b > 0 && st.all[r[b-1]].rest < mine {
			r[b] = r[b-1]
			b--
		}
		r[b] = i
	}
}

// day fills molds: for each order in turn as many as it lacks pieces, then on
// due days, with what capacity is left, so many more as rejects are to be feared.
func (st *state) day(t int) int {
	sh := st.sc.shop
	limit := st.limit
	st.order(t)
	dueToday := false
	for _, j := range st.open {
		jb := &sh.jobs[j]
		if jb.start > t {
			continue
		}
		if limit == 0 {
			st.cut = true
			break
		}
		dueToday = dueToday || jb.due == t
		limit -= st.fillWithin(t, j, st.left[j], limit)
	}
	for _, j := range st.open {
		if !dueToday || limit == 0 {
			break
		}
		if jb := &sh.jobs[j]; jb.due == t && jb.start <= t && st.left[j] > 0 {
			limit -= st.fillWithin(t, j, reserve(st.left[j], sh.forms[jb.form].lost), limit)
		}
	}
	st.use[t] += int32(st.limit - limit)
	return t
}

// fillWithin fills within what the day's limit leaves.
func (st *state) fillWithin(t, j, want, limit int) int {
	made := st.fill(t, j, min(want, limit))
	st.cut = st.cut || made == limit && limit < want
	return made
}

// order ranks the open orders where that can change anything.
func (st *state) order(t int) {
	if len(st.open) > 1 && (st.unranked || st.sc.rule.changes()) {
		st.rank(t)
		st.unranked = false
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
	next, turn := st.next[f], st.turn[f]
	made, good := 0, 0
	for made < want && len(ready) > 0 && turn < slots {
		if next == len(ready) {
			next = 0
			turn++
			continue
		}
		i := ready[next]
		m := &st.all[i]
		next++
		k := m.made
		if k >= m.life {
			continue
		}
		m.made++
		m.rest--
		made++
		if m.made == m.life {
			st.died = true
		}
		if st.note != nil {
			st.note(t, i, k, j)
		}
		if st.actual == nil {
			good += int(m.good[k>>6] >> (k & 63) & 1)
			continue
		}
		st.turn[f] = turn
		if st.cast(t, i) {
			good++
		}
	}
	st.next[f], st.turn[f] = next, turn
	st.left[j] = max(0, st.left[j]-good)
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
			if m := &st.all[i]; m.made < m.life {
				return false
			}
		}
	}
	return true
}
