package plan

import "slices"

// Draws by which rules are compared, and for the bound; the chosen rule is
// simulated with all of them.
const (
	compareDraws = 600
	boundDraws   = 200
	competing    = 0.005 // mean chance that sharing takes from orders, from which on rules are compared
	muchTaken    = 0.02  // likewise by the best rule, from which on lists are tried
	searchDraws  = 200
	mostTries    = 40 // exchanges of neighbours
)

// onTime is the chance of each job, of the draws.
func (o outcome) onTime(j int) float64 {
	return float64(o.draws-o.late(j)) / float64(o.draws)
}

// late are the draws in which a job lacks pieces on its due day.
func (o outcome) late(j int) int {
	n := 0
	for d := range o.draws {
		if o.short[d*o.jobs+j] != 0 {
			n++
		}
	}
	return n
}

// score is what rules are chosen by: the mean chance on time, and a hundredth of
// the share of pieces that are there in time.
func (o outcome) score(jobs []job) (onTime, score float64) {
	for j := range jobs {
		p := o.onTime(j)
		onTime += p
		short := 0.0
		for d := range o.draws {
			short += float64(o.short[d*o.jobs+j])
		}
		score += p + 0.01*(1-short/float64(o.draws)/float64(jobs[j].pieces))
	}
	n := float64(len(jobs))
	return onTime / n, score / n
}

// alone is the chance of each job if it had the studio to itself, and what became of
// all of them by earliest due date first.
func alone(sc scenario, draws int) (apart []float64, early outcome) {
	sc.rule = rule{kind: earliestDue}
	jobs := sc.shop.jobs
	ofForm := make([]int, len(sc.shop.forms))
	for _, j := range jobs {
		ofForm[j.form]++
	}
	early = withDays(sc, draws)
	short := make([]bool, draws*len(jobs)) // of the forms each played alone
	inShares(draws, func(st *state, d int) bool {
		within := st.apart(&sc, d)
		for j := range jobs {
			short[d*len(jobs)+j] = st.shortAt[j] != 0
		}
		if !within {
			st.run(&sc, d)
		}
		early.take(st, d)
		return true
	})
	apart = make([]float64, len(jobs))
	for j := range jobs {
		if ofForm[jobs[j].form] > 1 {
			apart[j] = aloneOf(sc, j, draws)
			continue
		}
		late := 0
		for d := range draws {
			if short[d*len(jobs)+j] {
				late++
			}
		}
		apart[j] = float64(draws-late) / float64(draws)
	}
	return apart, early
}

// aloneOf is the chance of a job without those of its own form either.
func aloneOf(sc scenario, j, draws int) float64 {
	only := *sc.shop
	only.jobs = []job{sc.shop.jobs[j]}
	one := scenario{shop: &only, rule: sc.rule}
	for _, m := range sc.molds {
		if m.form == only.jobs[0].form {
			one.molds = append(one.molds, m)
		}
	}
	return simulate(one, draws).onTime(0)
}

// choose finds the rule by which the orders share the studio, and says how it
// compares with earliest due date first, whose outcome is given, and with the bound.
// Earliest due date first minimises the largest lateness on one machine (Jackson 1955,
// Management Science Research Project report 43, UCLA; from memory); orders with
// limited molds and random ends are no such machine, so that other rules are tried
// on the same draws, and stay only if they do better.
func choose(sc scenario, apart []float64, first outcome) (rule, Schedule) {
	n := min(first.draws, compareDraws)
	jobs := sc.shop.jobs
	best := rule{kind: earliestDue}
	chosen := first.first(n)
	early, bestScore := chosen.score(jobs)
	free := 0.0
	for _, a := range apart {
		free += a / float64(len(jobs))
	}
	binding := len(jobs) > 1 && free-early > competing
	if binding {
		had := early
		for k := earliestOpen; k < fixedList; k++ {
			sc.rule = rule{kind: k}
			o := simulate(sc, n)
			if on, s := o.score(jobs); s > bestScore {
				best, bestScore, had, chosen = sc.rule, s, on, o
			}
		}
		if free-had > muchTaken {
			sc.rule = rule{kind: fixedList, list: exchange(sc, min(n, searchDraws))}
			o := simulate(sc, n)
			if _, s := o.score(jobs); s > bestScore {
				best, chosen = sc.rule, o
			}
		}
	}
	sc.rule = best
	out := Schedule{Rule: best.words(jobs), EarlyDue: early, Binding: binding}
	out.OnTime, _ = chosen.score(jobs)
	few := min(n, boundDraws)
	most := make([]int, few)
	inShares(few, func(_ *state, d int) bool {
		most[d] = mostPiecesInTime(sc, d)
		return true
	})
	for d := range few {
		out.MostBound += float64(most[d]) / float64(few)
		for j := range jobs {
			if jobs[j].due >= 0 {
				out.Pieces += float64(jobs[j].pieces-int(chosen.short[d*chosen.jobs+j])) / float64(few)
			}
		}
	}
	return best, out
}

// exchange looks for a fixed list of orders that does better than that by due
// day, by exchanging neighbours as long as that helps.
func exchange(sc scenario, draws int) []int {
	jobs := sc.shop.jobs
	order := make([]int, len(jobs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return jobs[a].due - jobs[b].due })
	score := func() float64 {
		list := make([]int, len(jobs))
		for at, j := range order {
			list[j] = at
		}
		sc.rule = rule{kind: fixedList, list: list}
		_, s := simulate(sc, draws).score(jobs)
		return s
	}
	best, tries := score(), 0
	for better := true; better && tries < mostTries; {
		better = false
		for i := 0; i+1 < len(order) && tries < mostTries; i++ {
			order[i], order[i+1] = order[i+1], order[i]
			tries++
			if s := score(); s > best {
				best, better = s, true
				continue
			}
			order[i], order[i+1] = order[i+1], order[i]
		}
	}
	list := make([]int, len(jobs))
	for at, j := range order {
		list[j] = at
	}
	return list
}
