package plan

import "sync/atomic"

// apart plays a draw form by form, each with the days' limits to itself, and reports
// whether that is the course of all of them together: it is where no day then has more
// casts than its limit, because what one form took never kept another from anything.
// Forms that share days that are full are to be played together, which takes longer.
func (st *state) apart(sc *scenario, draw int) bool {
	st.begin(sc, draw)
	for _, f := range st.every {
		st.form(f)
	}
	return st.within(nil)
}

// form plays one form alone.
func (st *state) form(f int) {
	st.forms, st.open = append(st.forms[:0:0], f), st.open[:0]
	for j := range st.sc.shop.jobs {
		if st.sc.shop.jobs[j].form == f {
			st.open = append(st.open, j)
		}
	}
	st.start()
	st.play(st.rush)
}

// within reports whether no day has more casts than its limit, with those of others
// by day; nil for none.
func (st *state) within(others []int32) bool {
	for t, n := range st.use {
		if n == 0 {
			continue
		}
		if others != nil {
			n += others[t]
		}
		if int(n) > st.most(t) {
			return false
		}
	}
	return true
}

// Forms are no longer played apart, which would only take longer, once more than half
// of so many draws had to be played together all the same.
const triesApart = 16

// course plays a draw, form by form where that comes to the same.
func (st *state) course(sc *scenario, draw int) {
	if len(sc.shop.forms) == 1 || st.failed <= max(triesApart, st.tried)/2 {
		st.tried++
		if st.apart(sc, draw) {
			return
		}
		st.failed++
	}
	st.run(sc, draw)
}

// beside are the casts that the forms other than one make in each draw: while a new
// mold of that form is thought of, they need not be played again.
type beside struct {
	form  int
	days  int
	use   []int32 // by draw and day, at most
	sound []bool  // by draw: whether the days' limits are wide enough for them

	tried, failed atomic.Int64 // draws in which the form was played alone, and those with too little room for it
}

// besides plays the forms other than one.
func besides(sc scenario, form, draws int) *beside {
	b := &beside{form: form, days: len(sc.shop.cal.days), sound: make([]bool, draws)}
	b.use = make([]int32, draws*b.days)
	inShares(draws, func(st *state, d int) bool {
		st.begin(&sc, d)
		for _, f := range st.every {
			if f != form {
				st.form(f)
			}
		}
		copy(b.use[d*b.days:], st.use)
		b.sound[d] = st.within(nil)
		return true
	})
	return b
}

// courseOf plays a draw as far as the orders of st.only need it, which are all of one
// form: that form alone, where the others are known and leave it enough of each day.
// What comes of it does not depend on which draws are tried so.
func (st *state) courseOf(sc *scenario, draw int) {
	b := sc.beside
	if b == nil {
		st.course(sc, draw)
		return
	}
	if b.sound[draw] && b.failed.Load() <= max(triesApart, b.tried.Load())/2 {
		b.tried.Add(1)
		st.begin(sc, draw)
		st.form(b.form)
		if st.within(b.use[draw*b.days : (draw+1)*b.days]) {
			return
		}
		b.failed.Add(1)
	}
	st.run(sc, draw)
}
