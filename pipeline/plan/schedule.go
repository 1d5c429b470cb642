package plan

import "slices"

// Draws by which rules are compared, and for the bound; the chosen rule is
// simulated with all of them.
const (
	compareDraws = 1000
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

// alone is the chance of each job if it had the studio to itself.
func alone(sc scenario, draws int) []float64 {
	out := make([]float64, len(sc.shop.jobs))
	for j := range out {
		only := *sc.shop
		only.jobs = []job{sc.shop.jobs[j]}
		one := scenario{shop: &only, rule: rule{kind: earliestDue}}
		for _, m := range sc.molds {
			if m.form == only.jobs[0].form {
				one.molds = append(one.molds, m)
			}
		}
		out[j] = simulate(one, draws).onTime(0)
	}
	return out
}

// choose finds the rule by which the orders share the studio, and says how it
// compares with earliest due date first and with the bound. Earliest due date
// first minimises the largest lateness on one machine (Jackson 1955, Management
// Science Research Project report 43, UCLA; from memory); orders with
// limited molds and random ends are no such machine, so that other rules are tried
// on the same draws, and stay only if they do better.
func choose(sc scenario, apart []float64, draws int) (rule, Schedule) {
	n := min(draws, compareDraws)
	jobs := sc.shop.jobs
	best := rule{kind: earliestDue}
	sc.rule = best
	first := simulate(sc, n)
	early, bestScore := first.score(jobs)
	free := 0.0
	for _, a := range apart {
		free += a / float64(len(jobs))
	}
	binding := len(jobs) > 1 && free-early > competing
	if binding {
		had := early
		for k := earliestOpen; k < fixedList; k++ {
			sc.rule = rule{kind: k}
			if on, s := simulate(sc, n).score(jobs); s > bestScore {
				best, bestScore, had = sc.rule, s, on
			}
		}
		if free-had > muchTaken {
			sc.rule = rule{kind: fixedList, list: exchange(sc, min(n, searchDraws))}
			if _, s := simulate(sc, n).score(jobs); s > bestScore {
				best = sc.rule
			}
		}
	}
	sc.rule = best
	out := Schedule{Rule: best.words(jobs), EarlyDue: early, Binding: binding}
	chosen := simulate(sc, n)
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
