package plan

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// A mold that does not age, filled once a day with a chance of a reject p, has k good
// pieces after n days with chance P(Bin(n, 1−p) ≥ k), and needs a day T of a
// negative binomial law for them: P(T ≤ n) = P(Bin(n, 1−p) ≥ k). Closed forms.
func TestOneMoldIsBinomial(t *testing.T) {
	const draws, k = 10000, 20
	for _, p := range []float64{0.05, 0.2, 0.5} {
		for _, n := range []int{20, 22, 25, 30, 40} {
			l := &lab{days: 64, bad: p, draws: draws, forms: []shopForm{{slots: 1}}, jobs: []job{{pieces: k, due: n - 1}}}
			l.add("a", 0, certain(64))
			o := simulate(l.scenario(), draws)
			want := 1 - distuv.Binomial{N: float64(n), P: 1 - p}.CDF(k-1)
			require.InDelta(t, want, o.onTime(0), 4.5*math.Sqrt(want*(1-want)/draws)+1e-12, "p %g, %d days", p, n)

			done := 0
			for d := range draws {
				if o.done[d] <= int32(n-1) {
					done++
				}
			}
			require.Equal(t, o.onTime(0), float64(done)/draws, "the day of completion and the shortfall agree")
		}
	}
}

// The casts of a negative binomial law: k good pieces take k/(1−p) casts on average.
func TestCastsAreNegativeBinomial(t *testing.T) {
	const draws, k, p = 10000, 30, 0.25
	l := &lab{days: 300, bad: p, draws: draws, forms: []shopForm{{slots: 1}}, jobs: []job{{pieces: k, due: 290}}}
	l.add("a", 0, certain(120))
	_, mean := castsOf(simulate(l.scenario(), draws), 0)
	se := math.Sqrt(k*p) / (1 - p) / math.Sqrt(draws)
	require.InDelta(t, k/(1-p), mean, 4.5*se)
}

// geometric is a fine sample of the whole part of exponential lives of a mean.
func geometric(mean float64) []float64 {
	const n = 20000
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Floor(-mean * math.Log(1-(float64(i)+0.5)/n))
	}
	return out
}

// Molds of exponential lives, filled one after another, fail as a Poisson process
// in casts: m of them make n casts with chance P(Poisson(n/mean) ≤ m−1). In whole
// casts the lives are geometric and that is P(Bin(n+m−1, 1−q) ≤ m−1) with
// q = exp(−1/mean). Closed forms.
func TestMoldsInARowAreAPoissonProcess(t *testing.T) {
	const draws, n, mean = 5000, 150, 40.0
	sample := geometric(mean)
	for m := 2; m <= 8; m++ {
		l := &lab{days: 2 * n, limit: 1, draws: draws, forms: []shopForm{{slots: 1}}, jobs: []job{{pieces: n, due: 2*n - 1}}}
		for i := range m {
			l.add(fmt.Sprint("m", i), 0, sample)
		}
		got := simulate(l.scenario(), draws).onTime(0)
		exact := distuv.Binomial{N: float64(n + m - 1), P: 1 - math.Exp(-1/mean)}.CDF(float64(m - 1))
		require.InDelta(t, exact, got, 4.5*math.Sqrt(exact*(1-exact)/draws)+1e-3, "%d molds", m)
		require.InDelta(t, distuv.Poisson{Lambda: n / mean}.CDF(float64(m-1)), got, 0.025, "%d molds", m)
	}
}

// Jackson 1955: earliest due date first minimises the largest lateness on one
// machine. Here the machine is a studio of one cast a day; every order of jobs is
// tried.
func TestEarliestDueMinimisesTheLargestLateness(t *testing.T) {
	rng := (&world{seed: 3}).stream("jackson")
	for range 60 {
		l := &lab{days: 200, limit: 1, draws: 1}
		for j := range 6 {
			l.forms = append(l.forms, shopForm{slots: 1})
			l.jobs = append(l.jobs, job{form: j, pieces: 1 + rng.IntN(9), due: rng.IntN(40)})
			l.add(fmt.Sprint("m", j), j, certain(100))
		}
		sc := l.scenario()
		sc.late = true
		o := simulate(sc, 1)
		worst := math.MinInt
		for j := range l.jobs {
			worst = max(worst, int(o.done[j])-l.jobs[j].due)
		}
		best := math.MaxInt
		permutations(len(l.jobs), func(order []int) {
			day, late := -1, math.MinInt
			for _, j := range order {
				day += l.jobs[j].pieces
				late = max(late, day-l.jobs[j].due)
			}
			best = min(best, late)
		})
		require.Equal(t, best, worst)
	}
}

func permutations(n int, each func([]int)) {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	var walk func(k int)
	walk = func(k int) {
		if k == n {
			each(order)
			return
		}
		for i := k; i < n; i++ {
			order[k], order[i] = order[i], order[k]
			walk(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	walk(0)
}
