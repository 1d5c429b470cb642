package life

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/lifetime"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// The rule is exact for polynomials: moments 0, 2, 4 and 6 of a standard normal law
// are 1, 1, 3 and 15.
func TestHermiteHoldsMoments(t *testing.T) {
	for _, n := range []int{shapePlaces, scalePlaces} {
		var sums [7]float64
		for _, p := range hermite(n) {
			for k := range sums {
				sums[k] += p.weight * math.Pow(p.at, float64(k))
			}
		}
		for k, want := range []float64{1, 0, 1, 0, 3, 0, 15} {
			require.InDelta(t, want, sums[k], 1e-10, "moment %d", k)
		}
	}
}

// Chances to live on are those of draws from the posterior of the law of lives, for a
// kind of which hardly anything is known, at ages young and old.
func TestChancesOfLivesAreThoseOfDraws(t *testing.T) {
	const draws = 40_000
	few := []lifetime.Unit{{Exit: 30, Ended: true}, {Exit: 70.5}, {Exit: 44, Ended: true}}
	for _, units := range [][]lifetime.Unit{nil, few} {
		fit, err := lifetime.FitWeibull(units, priorOf(history.UnknownKind))
		require.NoError(t, err)
		k := kindFit{kind: history.UnknownKind, units: units, fit: fit}
		table := k.mortality(200, 500)
		for _, age := range []int{0, 25, 80, 200} {
			alive := make([]float64, 400)
			rng := generator(4, "lives")
			for range draws {
				law := fit.Draw(rng)
				left := law.DrawRemaining(float64(age)+halfCast, rng)
				for j := range alive {
					if left > float64(j) {
						alive[j]++
					}
				}
			}
			got := table.survival(age, 500)
			require.Zero(t, got[len(got)-1])
			for j := range alive {
				chance := 0.0
				if j < len(got) {
					chance = got[j]
				}
				require.InDelta(t, alive[j]/draws, chance, 0.01, "age %d, %d casts on", age, j)
			}
		}
	}
}

// Beyond the horizon nobody is looked for: who is left ends with it.
func TestTheHorizonEndsTheForecast(t *testing.T) {
	fit, err := lifetime.FitWeibull(nil, priorOf("one-piece"))
	require.NoError(t, err)
	got := kindFit{fit: fit}.mortality(3, 10).survival(3, 10)
	require.Len(t, got, 11)
	require.Greater(t, got[9], 0.9)
	require.Zero(t, got[10])
}

// By hand: more than 1, 2, 3 casts with chances 0.75, 0.25 and 0: four points.
func TestPointsByHand(t *testing.T) {
	require.Equal(t, []float64{1, 2, 2, 3}, pointsOf([]float64{1, 0.75, 0.25, 0}, 4))
	require.Equal(t, []float64{1}, pointsOf([]float64{1, 0}, 1))
}

// By hand: two ways of equal weight, one past its limit with the second cast and
// noticed then or later with a share of a half each cast, one not in time.
func TestChancesNotToBeNoticedByHand(t *testing.T) {
	h := learnHabits(nil)
	for k := range h.shares {
		h.shares[k].out = 0.5
	}
	got := h.more(&room{until: []int{2, 9}, habit: []int{3, 4}}, []float64{1, 1}, 2, 5)
	require.InDeltaSlice(t, []float64{1, 1, 0.5 + 0.25, 0.5 + 0.125, 0.5 + 0.0625}, got, 1e-12)
}

// The chances of remaining casts are those of plain draws, each a path followed cast
// by cast, a life, rejects and a habit drawn for itself, weighed by the chance that
// the mold would still be in use: the definition, without any of the shortcuts.
func TestForecastsAreThoseOfPlainDraws(t *testing.T) {
	for _, walk := range []float64{0, 0.12} {
		s := shelfOf(walk, map[int]string{0: "slow", 1: "worn"}, 90, 70, 60, 50, 40, 30, 20, 110)
		log, _ := history.Build(s, tables.NoDate)
		set := Defaults()
		set.Path = PathStraight
		if walk > 0 {
			set.Path = PathWandering
		}
		k, err := Learn(log, s, wall.Run(log, s, wall.Defaults()), set, 1)
		require.NoError(t, err)
		p := k.paths(set.Path)
		require.Equal(t, walk > 0, p.wandering)
		rows, draws := k.Remaining(set.Path)
		for i, r := range rows {
			plain, slow := plainDraws(k, p, k.inUse[i])
			require.InDelta(t, slow, r.ChanceSlow, 0.03, r.Mold)
			for j := 1; j < 60; j += 3 {
				share := 0.0
				for _, d := range draws[i] {
					if d > float64(j) {
						share += 1 / float64(len(draws[i]))
					}
				}
				require.InDelta(t, plain(float64(j)), share, 0.03, "%s, more than %d casts", r.Mold, j)
			}
		}
	}
}

// plainDraws are the chances to make more than so many casts, and to end slow.
func plainDraws(k *Known, p *paths, m int) (more func(casts float64) float64, slow float64) {
	const draws = 8000
	mold, rng := k.log.Molds[m], generator(9, k.log.Molds[m].Mold)
	age := float64(mold.Age)
	casts, weight := make([]float64, draws), make([]float64, draws)
	sum := 0.0
	for i := range draws {
		path := p.drawer(m).forecast.Draw(rng)
		path.To(age)
		w := way{path: path, course: p.drawer(m).readings.course, lim: p.drawer(m).lim}
		place := p.habits.place(rng.Float64())
		h := p.habits.at[place]
		end := w.end(h.shift)
		weight[i] = math.Pow(1-h.share, max(0, age+1-w.crossed(end)))
		sum += weight[i]
		law := k.byKind[mold.Kind].fit.Draw(rng)
		last := age + max(1, math.Round(halfCast+law.DrawRemaining(age+halfCast, rng)))
		from, ok := path.FirstPassage(func(float64) float64 { return end }, 0, last)
		casts[i] = last - age
		if noticed := max(from, age+1) + math.Floor(math.Log(1-rng.Float64())/math.Log(1-h.share)); ok && noticed < last {
			casts[i] = noticed - age
			slow += weight[i]
		}
	}
	return func(j float64) float64 {
		held := 0.0
		for i, c := range casts {
			if c > j {
				held += weight[i] / sum
			}
		}
		return held
	}, slow / sum
}
