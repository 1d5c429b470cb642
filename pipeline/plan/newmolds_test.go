package plan

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// newLab is a planner made by hand: two kinds of mold that may be poured for each
// form of the lab, with lives and prices as given.
func newLab(l *lab, lives [2][]float64, most, goalDraws int) (*planner, scenario) {
	sc := l.scenario()
	p := &planner{set: Settings{Draws: l.draws, Goal: 0.9}, world: l.world(), shop: sc.shop, fresh: map[freshKey]*freshMolds{}}
	p.set.Making.MostMolds = most
	p.making = making{lead: []int{3}, aDay: 2}
	p.late = goalDraws
	for f := range l.forms {
		for k, kind := range []string{kindSplit, kindOnePiece} {
			p.fresh[freshKey{f, kind}] = &freshMolds{remaining: lives[k]}
		}
	}
	return p, sc
}

func labChoices(form int, split, onePiece float64) []choice {
	out := []choice{{key: freshKey{form, kindSplit}, cost: split}, {key: freshKey{form, kindOnePiece}, cost: onePiece}}
	if out[1].cost < out[0].cost {
		out[0], out[1] = out[1], out[0]
	}
	return out
}

// exhaustive tries every number of each kind.
func exhaustive(p *planner, sc scenario, choices []choice, jobs []int) (cost float64, found bool) {
	cost = math.Inf(1)
	most := p.set.Making.MostMolds
	for a := 0; a <= most; a++ {
		for b := 0; b <= most; b++ {
			counts := []int{a, b}
			c := float64(a)*choices[0].cost + float64(b)*choices[1].cost
			if c < cost && reaches(sc.with(p.place(choices, counts, 0, 0)...), p.set.Draws, p.late, jobs) {
				cost = c
			}
		}
	}
	return cost, !math.IsInf(cost, 1)
}

// The advice on new molds costs at most a tenth more than the best that
// exhaustive search finds on the same draws.
func TestNewMoldsCostNoMoreThanTheBest(t *testing.T) {
	rng := (&world{seed: 9}).stream("new molds")
	some := 0
	for round := range 25 {
		l := &lab{days: 50, limit: 3 + rng.IntN(6), bad: 0.08, draws: 400, forms: []shopForm{{slots: 1 + rng.IntN(3)}}}
		l.jobs = []job{{pieces: 10 + rng.IntN(60), due: 15 + rng.IntN(25)}}
		if rng.IntN(2) == 0 {
			l.jobs = append(l.jobs, job{pieces: 5 + rng.IntN(20), due: 30 + rng.IntN(15)})
		}
		if rng.IntN(2) == 0 {
			l.add("old", 0, geometric(12))
		}
		p, sc := newLab(l, [2][]float64{geometric(10 + 20*rng.Float64()), geometric(30 + 60*rng.Float64())}, 6, 40)
		jobs := []int{0}
		if len(l.jobs) > 1 {
			jobs = append(jobs, 1)
		}
		choices := labChoices(0, 1+rng.Float64(), 1.2+2*rng.Float64())
		best, found := exhaustive(p, sc, choices, jobs)
		counts := p.cheapest(sc, choices, 0, jobs)
		require.Equal(t, found, counts != nil, "round %d", round)
		if !found {
			continue
		}
		some++
		cost := float64(counts[0])*choices[0].cost + float64(counts[1])*choices[1].cost
		require.LessOrEqual(t, cost, 1.1*best+1e-9, "round %d: %v", round, counts)
	}
	require.Greater(t, some, 10)
}

// With geometric lives and one cast a day the number of molds needed is that of
// a Poisson process: the least m with P(Bin(n+m−1, 1−q) ≤ m−1) ≥ 0.9.
func TestNumberOfNewMoldsIsThatOfAPoissonProcess(t *testing.T) {
	const n, mean, draws = 60, 25.0, 4000
	l := &lab{days: 200, limit: 1, draws: draws, forms: []shopForm{{slots: 1}}, jobs: []job{{pieces: n, due: 190}}}
	p, sc := newLab(l, [2][]float64{geometric(mean), geometric(mean)}, 12, draws/10)
	p.making.aDay = 12
	p.world.kinds = map[string]kindDraws{kindSplit: sure(draws), kindOnePiece: sure(draws)}
	counts := p.cheapest(sc, labChoices(0, 1, 5), 0, []int{0})
	want := 1
	for ; (distuv.Binomial{N: float64(n + want - 1), P: 1 - math.Exp(-1/mean)}).CDF(float64(want-1)) < 0.9; want++ {
	}
	require.Equal(t, []int{want, 0}, counts)
}

// sure are kinds of which all is known and whose pours never fail.
func sure(draws int) kindDraws {
	return kindDraws{life: make([]float64, draws), fails: make([]float64, draws)}
}

// Pours wait as long as they can: one day later the chance falls below the goal.
func TestPoursWaitAsLongAsTheyCan(t *testing.T) {
	l := &lab{days: 80, draws: 500, bad: 0.1, forms: []shopForm{{slots: 2}}, jobs: []job{{pieces: 20, due: 40}}}
	p, sc := newLab(l, [2][]float64{geometric(60), geometric(90)}, 8, 50)
	choices := labChoices(0, 1, 2)
	counts := p.cheapest(sc, choices, 0, []int{0})
	require.NotNil(t, counts)
	shift := p.latest(sc, choices, counts, 0, []int{0})
	require.Greater(t, shift, 0)
	holds := func(s int) bool {
		return reaches(sc.with(p.place(choices, counts, 0, s)...), p.set.Draws, p.late, []int{0})
	}
	require.True(t, holds(shift))
	require.False(t, holds(shift+1))
}

// Alternatives share their draws: in no draw do more molds, more capacity or a
// later day bring fewer pieces in time for a single order.
func TestMoreNeverHurtsASingleOrder(t *testing.T) {
	l := &lab{days: 80, limit: 4, draws: 500, bad: 0.15, forms: []shopForm{{slots: 2}}, jobs: []job{{pieces: 40, due: 25}}}
	for i := range 3 {
		l.add(fmt.Sprint("m", i), 0, geometric(15))
	}
	sc := l.scenario()
	base := simulate(sc, l.draws)
	extra := &mold{name: "x", kind: kindSplit, index: -1}
	l.world().drawMold(extra, moldLaw{remaining: geometric(15), kept: 1, most: mostCasts}, sure(l.draws))
	more := simulate(sc.with(placed{mold: extra, poured: -1, life: extra.life}), l.draws)
	require.Greater(t, more.onTime(0), base.onTime(0))
	later := *sc.shop
	later.jobs = []job{{pieces: 40, due: 32}}
	after := simulate(scenario{shop: &later, molds: sc.molds, rule: sc.rule}, l.draws)
	for d := range l.draws {
		require.LessOrEqual(t, after.short[d], base.short[d])
	}
}
