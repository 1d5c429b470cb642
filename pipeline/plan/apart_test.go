package plan

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// randomLab is a studio with many molds, orders, days without casts and new molds.
func randomLab(round int) (*lab, scenario) {
	rng := (&world{seed: 11}).stream(fmt.Sprint("apart ", round))
	l := &lab{days: 90, limit: 1 << 20, bad: 0.1, draws: 40}
	for f := range 1 + rng.IntN(3) {
		l.forms = append(l.forms, shopForm{slots: 1 + rng.IntN(3)})
		for m := range 1 + rng.IntN(6) {
			l.add(fmt.Sprintf("m%d.%d.%d", round, f, m), f, []float64{1, 5, 10, 20, 40, 90})
		}
		for range 1 + rng.IntN(2) {
			start := rng.IntN(10)
			l.jobs = append(l.jobs, job{form: f, pieces: 1 + rng.IntN(150), start: start, due: start + rng.IntN(60)})
		}
	}
	sc := l.scenario()
	sc.rule = rule{kind: ruleKind(rng.IntN(candidateRules))}
	for i := range sc.molds {
		if rng.IntN(4) > 0 {
			continue
		}
		m := *sc.molds[i].mold
		for range l.draws {
			m.lead = append(m.lead, int32(rng.IntN(30))-2)
		}
		sc.molds[i].mold, sc.molds[i].poured = &m, rng.IntN(20)
	}
	caps := make([]int32, l.draws*l.days)
	most := []int{6, 20, 100}[rng.IntN(3)]
	for i := range caps {
		if rng.IntN(4) > 0 {
			caps[i] = int32(most/2 + rng.IntN(most))
		}
	}
	sc.shop = sc.shop.paced(caps)
	return l, sc
}

// played is what became of a draw.
func played(st *state) string {
	return fmt.Sprint(st.doneOn, st.shortAt, st.casts, st.madeByDue)
}

// Form by form and many days at a go a draw comes to the same as day after day.
func TestFormsPlayedApartComeToTheSame(t *testing.T) {
	apart := 0
	for round := range 150 {
		l, sc := randomLab(round)
		slow, fast := &state{}, &state{}
		for d := range l.draws {
			slow.run(&sc, d)
			if fast.apart(&sc, d) {
				apart++
				require.Equal(t, played(slow), played(fast), "round %d, draw %d", round, d)
			}
		}
	}
	require.Greater(t, apart, 1000)
	require.Less(t, apart, 5000, "limits are reached in others")
}

// A form played beside the others, whose casts are known, is late when it is late
// with all of them.
func TestOneFormBesideTheOthersComesToTheSame(t *testing.T) {
	alone := 0
	for round := range 100 {
		l, sc := randomLab(round)
		if len(l.forms) == 1 {
			continue
		}
		sc.beside = besides(sc, 0, l.draws)
		var jobs []int
		for j := range l.jobs {
			if l.jobs[j].form == 0 {
				jobs = append(jobs, j)
			}
		}
		slow, fast := &state{only: jobs}, &state{only: jobs}
		for d := range l.draws {
			slow.run(&sc, d)
			fast.courseOf(&sc, d)
			for _, j := range jobs {
				require.Equal(t, slow.shortAt[j] > 0, fast.shortAt[j] > 0, "round %d, draw %d", round, d)
			}
		}
		alone += int(sc.beside.tried.Load() - sc.beside.failed.Load())
	}
	require.Greater(t, alone, 500)
}

// Where only the days' limits differ, draws that are not played again would come to
// the same.
func TestOtherLimitsThatChangeNothing(t *testing.T) {
	kept := 0
	for round := range 60 {
		l, sc := randomLab(round)
		if sc.rule.changes() {
			continue
		}
		base := withDays(sc, l.draws)
		base.fill(sc)
		wider := sc
		wider.shop = sc.shop.paced(scaled(sc.shop.caps, 1.25, (&world{seed: 3}).stream("wider")))
		got, want := simulateLike(wider, sc, base), simulate(wider, l.draws)
		require.Equal(t, want.short, got.short)
		require.Equal(t, want.done, got.done)
		require.Equal(t, want.casts, got.casts)
		require.True(t, slices.EqualFunc(want.made, got.made, slices.Equal[[]int32]))
		for d := range l.draws {
			if base.days.alike(sc.shop, wider.shop, d) {
				kept++
			}
		}
	}
	require.Greater(t, kept, 200)
}

func TestOnesCountsBitsOverWords(t *testing.T) {
	words := []uint64{0xf0f0f0f0f0f0f0f0, ^uint64(0), 1}
	for from := range 129 {
		want := 0
		for to := from; to <= 129; to++ {
			require.Equal(t, want, ones(words, from, to))
			if to < 129 {
				want += int(words[to>>6] >> (to & 63) & 1)
			}
		}
	}
}
