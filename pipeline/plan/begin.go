package plan

import (
	"cmp"
	"math"
	"slices"

	"moldwright/pipeline/tables"
)

// begin takes a draw of a scenario.
func (st *state) begin(sc *scenario, draw int) {
	if st.sc != sc {
		st.forScenario(sc)
	}
	st.draw, st.caps = draw, nil
	if sh := sc.shop; sh.caps != nil {
		st.caps = sh.caps[draw*len(sh.cal.days) : (draw+1)*len(sh.cal.days)]
	}
	st.open = st.open[:0]
	clear(st.use)
	st.end, st.cut = 0, false
}

func (st *state) forScenario(sc *scenario) {
	sh := sc.shop
	forms, jobs, molds, days := len(sh.forms), len(sh.jobs), len(sc.molds), len(sh.cal.days)
	*st = state{
		sc: sc, note: st.note, only: st.only, actual: st.actual, all: make([]filling, molds), madeByDue: make([]int, molds), ofForm: make([][]int, forms),
		ready: make([][]int, forms), touched: make([]bool, forms), turn: make([]int, forms), next: make([]int, forms), today: make([]int, forms), sorted: make([]int, forms),
		key: make([]float64, jobs), rate: make([]float64, forms), dueOn: make([]bool, days), left: make([]int, jobs), shortAt: make([]int, jobs),
		doneOn: make([]int, jobs), casts: make([]int, jobs), use: make([]int32, days),
	}
	for i := range sc.molds {
		f := sc.molds[i].form
		st.ofForm[f] = append(st.ofForm[f], i)
	}
	if st.actual == nil {
		// In the order of filling, since every draw begins with that.
		for _, molds := range st.ofForm {
			slices.SortStableFunc(molds, func(a, b int) int { return cmp.Compare(math.Round(sc.molds[b].median), math.Round(sc.molds[a].median)) })
		}
	}
	for _, j := range sh.jobs {
		if !slices.Contains(st.every, j.form) {
			st.every = append(st.every, j.form)
		}
		if j.due >= 0 && j.due < len(st.dueOn) {
			st.dueOn[j.due] = true
		}
	}
}

// start puts the forms worked on, and the open jobs, to where the draw begins.
func (st *state) start() {
	sc := st.sc
	st.died, st.unranked, st.look = false, true, 0
	st.waiting = st.waiting[:0]
	for _, f := range st.forms {
		st.ready[f] = st.ready[f][:0]
		st.today[f], st.touched[f], st.sorted[f] = -1, true, -sortEvery
		for _, i := range st.ofForm[f] {
			st.take(i, &sc.molds[i])
		}
	}
	for _, j := range st.open {
		jb := &sc.shop.jobs[j]
		st.left[j], st.doneOn[j], st.casts[j], st.shortAt[j] = jb.pieces, never, 0, -1
		if jb.due < 0 {
			st.shortAt[j] = jb.pieces
		}
	}
}

// take takes mold i of the scenario into the draw.
func (st *state) take(i int, m *placed) {
	sh := st.sc.shop
	life := int(m.life[st.draw])
	st.all[i] = filling{life: life, rest: int(math.Round(m.median)), good: m.good[st.draw*m.words : (st.draw+1)*m.words]}
	st.madeByDue[i] = 0
	mine := &st.all[i]
	if st.actual != nil {
		mine.life = math.MaxInt32
	}
	switch {
	case mine.life <= 0:
	case m.poured >= 0 && st.actual != nil:
		mine.since = st.actual.pour(sh, i, *m)
		st.waiting = append(st.waiting, i)
	case m.poured < 0:
		st.ready[m.form] = append(st.ready[m.form], i)
	case m.lead[st.draw] >= 0 && m.poured < len(sh.cal.days):
		mine.since = sh.cal.onOrAfter(sh.cal.days[m.poured] + tables.Date(m.lead[st.draw]))
		st.waiting = append(st.waiting, i)
	}
}
