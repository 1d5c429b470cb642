package plan

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// A network of a textbook's kind whose largest flow is 23 (Cormen, Leiserson,
// Rivest & Stein, Introduction to Algorithms, fig. 26; from memory); its least cut
// {(1,3), (4,3), (4,5)} of 12 + 7 + 4 shows that by itself.
func TestLargestFlow(t *testing.T) {
	n := newNetwork(6)
	for _, e := range [][3]int{{0, 1, 16}, {0, 2, 13}, {1, 3, 12}, {2, 1, 4}, {3, 2, 9}, {2, 4, 14}, {4, 3, 7}, {3, 5, 20}, {4, 5, 4}} {
		n.edge(e[0], e[1], e[2])
	}
	require.Equal(t, 23, n.largestFlow(0, 5))
}

// No rule has more pieces in time than the bound, in any draw; and where
// forms share nothing but the studio's days and nothing is by chance, earliest due
// date first reaches it.
func TestNoRuleBeatsTheBound(t *testing.T) {
	rng := (&world{seed: 5}).stream("bound")
	for round := range 40 {
		l := &lab{days: 60, limit: 2 + rng.IntN(4), bad: 0.1, draws: 50}
		for f := range 3 {
			l.forms = append(l.forms, shopForm{slots: 1 + rng.IntN(3)})
			for m := range 1 + rng.IntN(3) {
				l.add(fmt.Sprintf("m%d.%d.%d", round, f, m), f, []float64{1, 5, 10, 20, 40})
			}
			for range 1 + rng.IntN(2) {
				start := rng.IntN(10)
				l.jobs = append(l.jobs, job{form: f, pieces: 1 + rng.IntN(40), start: start, due: start + rng.IntN(40)})
			}
		}
		sc := l.scenario()
		for k := range candidateRules {
			sc.rule = rule{kind: ruleKind(k)}
			o := simulate(sc, l.draws)
			for d := range l.draws {
				made := 0
				for j := range l.jobs {
					made += l.jobs[j].pieces - int(o.short[d*o.jobs+j])
				}
				require.LessOrEqual(t, made, mostPiecesInTime(sc, d), "round %d, %s", round, sc.rule.words(l.jobs))
			}
		}
	}
}

func TestEarliestDueReachesTheBoundOnOneMachine(t *testing.T) {
	l := &lab{days: 60, limit: 3, draws: 1}
	for j, due := range []int{5, 11, 20} {
		l.forms = append(l.forms, shopForm{slots: 3})
		l.jobs = append(l.jobs, job{form: j, pieces: []int{12, 20, 30}[j], due: due})
		l.add(fmt.Sprint("m", j), j, certain(100))
	}
	sc := l.scenario()
	o := simulate(sc, 1)
	require.Equal(t, int32(0), o.short[0])
	require.Equal(t, int32(0), o.short[1])
	require.Equal(t, 62, mostPiecesInTime(sc, 0))
	require.Equal(t, int32(0), o.short[2])
}
