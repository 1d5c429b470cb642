package plan

import "moldwright/pipeline/tables"

// Plan is an answer that can be followed.
type Plan struct {
	Answer
	planner  *planner
	in, with scenario // with the molds in hand; with the new ones advised too
	advised  []advice
}

// Actual is a studio that follows a plan: it is told what to do, and tells what
// comes of it. Days come in order.
type Actual interface {
	Casts(day tables.Date) int                                      // most casts of a working day; asked once a day
	Fill(mold string, day tables.Date, ofDay int) (good, last bool) // a cast, the ofDay-th of the mold that day from 0: whether it gives a piece for an order, and whether the mold is done for
	Pour(form, kind string, day tables.Date) (mold string, ready tables.Date)
}

// Follow plays the plan's way of working in a studio that truly is, with the new
// molds advised or without, and reports which orders came in by their due days, as
// Orders; those that could not be planned did not.
func (p Plan) Follow(studio Actual, newMolds bool) []bool {
	out := make([]bool, len(p.Orders))
	if p.planner == nil {
		return out
	}
	sc := p.in
	if newMolds {
		sc = p.with
	}
	st := &state{actual: &actual{studio: studio, names: map[int]string{}}}
	st.run(&sc, 0)
	for j, jb := range sc.shop.jobs {
		out[jb.order] = st.shortAt[j] == 0
	}
	return out
}

// actual is a studio with the names that it gave to new molds, by mold of the
// scenario.
type actual struct {
	studio Actual
	names  map[int]string
	day    int // on which it was last asked for its casts, from 1
	most   int
}

// most is the casts of a day.
func (st *state) most(t int) int {
	sh := st.sc.shop
	switch {
	case st.actual != nil:
	case st.caps != nil:
		return int(st.caps[t])
	default:
		return sh.limit
	}
	if a := st.actual; a.day != t+1 {
		a.day, a.most = t+1, a.studio.Casts(sh.cal.day(t))
	}
	return st.actual.most
}

// cast fills mold i of the studio that is followed and reports whether it gives a
// piece.
func (st *state) cast(t, i int) bool {
	m, a := st.sc.molds[i], st.actual
	name, ok := a.names[i]
	if !ok {
		name = m.name
	}
	good, last := a.studio.Fill(name, st.sc.shop.cal.day(t), st.turn[m.form])
	if last {
		st.all[i].life, st.died = st.all[i].made, true
	}
	return good
}

// pour makes a new mold and is the working day from which it is in service.
func (a *actual) pour(sh *shop, i int, m placed) int {
	name, ready := a.studio.Pour(sh.forms[m.form].name, m.kind, sh.cal.day(m.poured))
	a.names[i] = name
	return sh.cal.onOrAfter(ready)
}
