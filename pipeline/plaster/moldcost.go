package plaster

import (
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// allKinds names the row for molds of every kind.
const allKinds = "all"

// moldCosts charges the plaster of all pours of a kind, the failed ones too, to
// the molds that can be used and to their good casts. A failed pour often names
// no mold, and so has no kind: its plaster is shared among the kinds in
// proportion to the plaster poured for each. The columns of a whole life are
// absent: WithLives fills them.
func (b book) moldCosts() []tables.MoldCost {
	kinds, of := b.groupsBy(func(e *entry) string { return e.kind })
	members := placesBy(of, len(kinds)).each()
	ofKind := map[string][]int32{}
	for k := range kinds {
		kinds[k] = fold(kinds[k])
		ofKind[kinds[k]] = members[k]
	}
	slices.Sort(kinds)
	rows := []tables.MoldCost{b.moldCost(allKinds, b.allPours())}
	for _, kind := range kinds {
		rows = append(rows, b.moldCost(kind, ofKind[kind]))
	}
	b.shareFailed(rows, ofKind[notGiven])
	return rows
}

// shareFailed charges the failed pours among those of no known kind to the kinds.
func (b book) shareFailed(rows []tables.MoldCost, unknown []int32) {
	var kg, cost, poured float64
	for _, i := range unknown {
		if e := &b.entries[i]; !e.usable {
			kg += e.PlasterKg
			cost += b.prices.cost(e.PlasterKg, e.Date)
		}
	}
	ofKind := func(r *tables.MoldCost) bool { return r.Kind != allKinds && r.Kind != notGiven }
	for i := range rows {
		if ofKind(&rows[i]) {
			poured += rows[i].PlasterKg
		}
	}
	for i := range rows {
		r := &rows[i]
		if poured == 0 || kg == 0 {
			break
		}
		if r.Kind == notGiven { // what is shared is no longer its own
			r.PlasterPerMold -= kg / float64(r.Molds)
			r.CostPerMold -= cost / float64(r.Molds)
		}
		if !ofKind(r) {
			continue
		}
		share := r.PlasterKg / poured
		r.SharedKg = kg * share
		r.PlasterPerGoodCast += r.SharedKg / float64(r.GoodCasts)
		r.CostPerGoodCast += cost * share / float64(r.GoodCasts)
		r.PlasterPerMold += r.SharedKg / float64(r.Molds)
		r.CostPerMold += cost * share / float64(r.Molds)
	}
}

func (b book) moldCost(kind string, members []int32) tables.MoldCost {
	absent := tables.Absent()
	row := tables.MoldCost{Kind: kind, Pours: tables.Count(len(members)), PlasterPerGoodCast: absent, CostPerGoodCast: b.costPerGoodCast(members),
		PlasterPerMold: absent, CostPerMold: absent, GoodShare: absent, LifeCasts: absent, LifePlaster: absent, LifeCost: absent}
	counted := make([]bool, len(b.links.molds))
	molds, goodCasts := 0, 0
	count := func(mold int32) {
		if !counted[mold] {
			counted[mold] = true
			molds++
			goodCasts += b.links.molds[mold].goodCasts
		}
	}
	var cost float64
	for _, i := range members {
		e := &b.entries[i]
		row.PlasterKg += e.PlasterKg
		cost += b.prices.cost(e.PlasterKg, e.Date)
		if !e.usable {
			row.FailedPours++
			continue
		}
		made := b.made(e)
		for _, m := range made {
			count(m)
		}
		switch {
		case len(made) > 0:
		case e.own != 0: // another part of a mold that the molds table gives to its first pour
			count(e.own)
		default: // a mold without a name
			molds++
		}
	}
	row.Molds, row.GoodCasts = tables.Count(molds), tables.Count(goodCasts)
	if goodCasts > 0 {
		row.PlasterPerGoodCast = row.PlasterKg / float64(goodCasts)
	}
	if row.Molds > 0 {
		row.PlasterPerMold, row.CostPerMold = row.PlasterKg/float64(row.Molds), cost/float64(row.Molds)
	}
	return row
}

// lives is what the log and the forecasts tell of the molds of one kind.
type lives struct {
	casts, molds  float64 // sum of whole lives, and molds summed
	good, results float64 // good casts, and casts whose result was logged
}

// WithLives adds to each kind what its plaster comes to over a mold's whole
// life: with c the plaster per usable mold, g the share of good casts and n the
// mean of the casts made by molds that ended, and of those made and to come by
// molds in use,
//
//	plaster per good cast = c/(g·n)
//
// remaining are the forecasts of the molds in use; a mold in use without one is
// left out of n. The row for all kinds gets no plaster per good cast: lives and
// masses of kinds differ too much for it. Plaster is charged at today's mixture of pours, so a kind whose
// pours fail less now will cost less.
func WithLives(costs []tables.MoldCost, log history.Log, remaining []tables.RemainingCasts) []tables.MoldCost {
	toCome := map[string]float64{}
	for _, r := range remaining {
		if tables.Has(r.RemainingP50) {
			toCome[fold(r.Mold)] = r.RemainingP50
		}
	}
	byKind := map[string]lives{}
	for _, m := range log.Molds {
		for _, kind := range []string{allKinds, fold(m.Kind)} {
			byKind[kind] = byKind[kind].with(m, log.Casts[m.First:m.Last], toCome)
		}
	}
	out := slices.Clone(costs)
	for i := range out {
		row := &out[i]
		l := byKind[fold(row.Kind)]
		if l.results > 0 {
			row.GoodShare = l.good / l.results
		}
		if l.molds > 0 {
			row.LifeCasts = l.casts / l.molds
		}
		if good := row.GoodShare * row.LifeCasts; good > 0 && row.Kind != allKinds {
			row.LifePlaster, row.LifeCost = row.PlasterPerMold/good, row.CostPerMold/good
		}
	}
	return out
}

func (l lives) with(m history.Mold, casts []history.Cast, toCome map[string]float64) lives {
	for _, c := range casts {
		if c.Result != history.NoResult {
			l.results++
		}
		if c.Result == history.Good {
			l.good++
		}
	}
	more, forecast := toCome[fold(m.Mold)]
	if m.InUse() && !forecast {
		return l
	}
	if !m.InUse() {
		more = 0
	}
	l.casts += float64(m.Age) + more
	l.molds++
	return l
}
