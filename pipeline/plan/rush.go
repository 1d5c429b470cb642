package plan

import (
	"math/bits"
)

// rush plays a day of one form or, at one go, all the days on which every mold of the
// form is filled as often as it can be, and says which day was the last. Such days
// come one after the other as long as the order that is served first lacks more pieces
// than the molds can give: it takes all of them, and nothing changes before another
// order begins or is due, a mold comes, or the studio's limit is near. Who is filled
// first does not matter then, and all molds lose alike, so that their order stays.
// The course is that of day after day.
func (st *state) rush(t int) int {
	f := st.forms[0]
	ready, slots := st.ready[f], st.sc.shop.forms[f].slots
	full := len(ready) * slots // casts of a day, at most
	if full == 0 || len(st.open) > 1 && st.sc.rule.changes() {
		return st.day(t)
	}
	st.order(t)
	j, until := st.served(t)
	if j < 0 || st.left[j] < full || st.limit < full {
		return st.day(t)
	}
	end, days := st.busyDays(t, until, full, st.left[j]/full)
	made, good := 0, 0
	for _, i := range ready {
		m := &st.all[i]
		n := min(days*slots, m.life-m.made)
		good += ones(m.good, m.made, m.made+n)
		m.made += n
		m.rest -= n
		made += n
		st.died = st.died || m.made == m.life
	}
	st.left[j] -= good
	if t <= st.sc.shop.jobs[j].due {
		st.casts[j] += made
	}
	return end
}

// served is the order that is served first, and the last day up to which that stays
// so; −1 where there is none.
func (st *state) served(t int) (job, until int) {
	job, until = -1, st.last
	for _, j := range st.open {
		jb := &st.sc.shop.jobs[j]
		switch {
		case jb.start > t:
			until = min(until, jb.start-1)
		case job < 0:
			job = j
		}
		if jb.due >= t {
			until = min(until, jb.due)
		}
	}
	for _, i := range st.waiting {
		until = min(until, st.all[i].since-1)
	}
	return job, until
}

// busyDays goes over days from t on, up to a last one, as long as they have room for
// all casts of the form, until so many had any, and says which was the last and how
// many had. It keeps the days on which the order of filling is made anew.
func (st *state) busyDays(t, until, full, most int) (end, days int) {
	f := st.forms[0]
	end = t
	for at := t; at <= until && days < most; at++ {
		limit := st.most(at)
		if limit > 0 && limit < full {
			break
		}
		end = at
		if limit == 0 {
			continue
		}
		days++
		st.use[at] += int32(full)
		if at-st.sorted[f] >= sortEvery {
			st.sorted[f] = at
			if st.touched[f] {
				st.sortForFilling(st.ready[f])
				st.touched[f] = false
			}
		}
	}
	return end, days
}

// ones counts the bits from..to−1 that are set.
func ones(words []uint64, from, to int) int {
	n := 0
	for from < to {
		w := words[from>>6] >> (from & 63)
		step := min(64-from&63, to-from)
		if step < 64 {
			w &= 1<<step - 1
		}
		n += bits.OnesCount64(w)
		from += step
	}
	return n
}
