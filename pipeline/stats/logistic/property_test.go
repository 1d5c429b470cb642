package logistic

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// simulated draws trials of units whose log odds rise with age.
func simulated(units, perUnit int, level, rise, spread float64, seed uint64) []Row {
	rng := rand.New(rand.NewPCG(seed, 3))
	var rows []Row
	for i := range units {
		b := spread * rng.NormFloat64()
		for n := range perUnit {
			x := []float64{1, float64(n) / float64(perUnit)}
			r := Row{Unit: i, X: x}
			if rng.Float64() < logistic(level+rise*x[1]+b) {
				r.Events = 1
			}
			rows = append(rows, r)
		}
	}
	return rows
}

func TestGradientIsThatOfTheTarget(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for trial := range 20 {
		rows := simulated(8, 12, -1, 1, 1, uint64(trial))
		p := newProblem(rows, 8, Options{Fixed: []Normal{{Mean: 1, SD: 2}, {}}, Spread: HalfNormal{Scale: 1}})
		peaks := make([]peak, 8)
		v := []float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
		g := make([]float64, 3)
		f := p.target(v, g, peaks)
		for k := range v {
			up, down := slices.Clone(v), slices.Clone(v)
			up[k] += 1e-5
			down[k] -= 1e-5
			require.InDelta(t, (p.target(up, nil, peaks)-p.target(down, nil, peaks))/2e-5, g[k], 1e-6*(1+math.Abs(f)))
		}
		v[2] *= -1
		require.InDelta(t, f, p.target(v, nil, peaks), 1e-9, "even in the spread")
	}
}

// Without one event, beliefs keep the answer finite, and it says so.
func TestNoEventsGiveFiniteLabelledAnswers(t *testing.T) {
	rows := simulated(6, 20, -1, 0, 0, 1)
	for i := range rows {
		rows[i].Events = 0
	}
	_, err := Fit(rows, 6, Options{})
	require.ErrorContains(t, err, "belief")

	opt := Options{Fixed: []Normal{{Mean: -3, SD: 1}, {Mean: 0.5, SD: 1}}, Spread: HalfNormal{Scale: 0.5}}
	m, err := Fit(rows, 6, opt)
	require.NoError(t, err)
	require.Contains(t, m.Warnings, NoEvents)
	require.Contains(t, m.Warnings, NoSpread)
	require.Less(t, m.Beta[0], -3.0, "120 trials without an event lower the belief")
	require.Greater(t, m.PriorWeight[0], 0.2)
	for unit := -1; unit < 6; unit++ {
		c := m.Chance(unit, []float64{1, 1})
		require.True(t, c > 1e-4 && c < 0.2, "%g", c)
	}

	for i := range rows {
		rows[i].Events = 1
	}
	m, err = Fit(rows, 6, opt)
	require.NoError(t, err)
	require.Contains(t, m.Warnings, AllEvents)
	require.Greater(t, m.Chance(0, []float64{1, 1}), 0.5)
}

// A covariate that parts events from the rest, without a belief in it.
func TestSeparationIsAnErrorThatSaysWhatToDo(t *testing.T) {
	rows := simulated(4, 20, 0, 0, 0, 1)
	for i := range rows {
		rows[i].Events = 0
		if rows[i].X[1] > 0.5 {
			rows[i].Events = 1
		}
	}
	_, err := Fit(rows, 4, Options{Fixed: []Normal{{}, {}}, Spread: HalfNormal{Scale: 1}})
	require.ErrorContains(t, err, "belief")
	_, err = Fit(rows, 4, Options{Fixed: []Normal{{SD: 3}, {SD: 3}}, Spread: HalfNormal{Scale: 1}})
	require.NoError(t, err)
}

func TestBadRowsAreErrors(t *testing.T) {
	_, err := Fit(nil, 3, Options{})
	require.Error(t, err)
	for _, r := range []Row{
		{X: []float64{math.NaN()}}, {X: []float64{1}, Events: 2}, {X: []float64{1}, Events: -1},
		{X: []float64{1}, Events: math.NaN()}, {X: []float64{1}, Trials: math.Inf(1)}, {X: []float64{1}, Trials: -1},
	} {
		_, err := Fit([]Row{{X: []float64{1}}, r}, 1, Options{})
		require.ErrorContains(t, err, "row 2 of 2")
	}
}

// Against the posterior by brute force: coefficient and spread on a grid, each
// unit's effect by quadrature.
func TestChanceAgainstQuadrature(t *testing.T) {
	for seed := range uint64(6) {
		rows := simulated(6, 15, -1.5, 0, 0.8, seed)
		for i := range rows {
			rows[i].X = rows[i].X[:1]
		}
		prior, scale := Normal{Mean: -2, SD: 1}, 1.0
		m, err := Fit(rows, 6, Options{Fixed: []Normal{prior}, Spread: HalfNormal{Scale: scale}})
		require.NoError(t, err)
		want := bruteForce(rows, 6, prior, scale)
		for unit := range 6 {
			require.InDelta(t, want[unit], m.Chance(unit, []float64{1}), 0.012, "seed %d unit %d", seed, unit)
		}
		require.InDelta(t, want[6], m.Chance(-1, []float64{1}), 0.012)
	}
}

// bruteForce is the posterior mean chance of each unit and of one not seen.
func bruteForce(rows []Row, units int, prior Normal, scale float64) []float64 {
	events, trials := make([]float64, units), make([]float64, units)
	for _, r := range rows {
		events[r.Unit] += r.Events
		trials[r.Unit]++
	}
	sums, total := make([]float64, units+1), 0.0
	for s := 0.05; s < 4*scale; s += 0.1 {
		for b := prior.Mean - 4*prior.SD; b < prior.Mean+4*prior.SD; b += 0.1 {
			log := -0.5*(b-prior.Mean)*(b-prior.Mean)/prior.SD/prior.SD - 0.5*s*s/scale/scale
			means := make([]float64, units+1)
			for i := range units + 1 {
				num, den := 0.0, 0.0
				for z := -6.0; z <= 6; z += 0.2 {
					q := logistic(b + s*z)
					w := math.Exp(-z * z / 2)
					if i < units {
						w *= math.Pow(q, events[i]) * math.Pow(1-q, trials[i]-events[i])
					}
					num, den = num+w*q, den+w
				}
				if i < units {
					log += math.Log(den)
				}
				means[i] = num / den
			}
			w := math.Exp(log)
			total += w
			for i := range means {
				sums[i] += w * means[i]
			}
		}
	}
	for i := range sums {
		sums[i] /= total
	}
	return sums
}

// The mean of many draws is the chance without draws, and draws repeat.
func TestDrawsAgreeWithChance(t *testing.T) {
	rows := simulated(10, 20, -2, 1.5, 0.7, 9)
	m, err := Fit(rows, 11, Options{Fixed: []Normal{{SD: 3}, {SD: 3}}, Spread: HalfNormal{Scale: 1}})
	require.NoError(t, err)
	const n = 20_000
	x := []float64{1, 1.2}
	sums := make([]float64, 12)
	rng := rand.New(rand.NewPCG(1, 1))
	for range n {
		d := m.Draw(rng)
		for unit := -1; unit < 11; unit++ {
			sums[unit+1] += d.Chance(unit, x) / n
		}
	}
	for unit := -1; unit < 11; unit++ {
		require.InDelta(t, m.Chance(unit, x), sums[unit+1], 0.006, "unit %d", unit)
	}
	require.InDelta(t, m.Chance(-1, x), m.Chance(10, x), 1e-3, "a unit without trials is like one not seen")
	require.Equal(t, m.Draw(rand.New(rand.NewPCG(2, 2))), m.Draw(rand.New(rand.NewPCG(2, 2))))
}

// Forecasts of the next trials come true as often as they say, over many
// simulated sets, truths drawn from the beliefs.
func TestChancesComeTrue(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	opt := Options{Fixed: []Normal{{Mean: -2.5, SD: 1}, {Mean: 0.5, SD: 1}}, Spread: HalfNormal{Scale: 0.7}}
	var inside, asked int
	for set := range 300 {
		level, rise, spread := -2.5+rng.NormFloat64(), 0.5+rng.NormFloat64(), math.Abs(0.7*rng.NormFloat64())
		b := make([]float64, 8)
		var rows []Row
		for i := range b {
			b[i] = spread * rng.NormFloat64()
			for n := range 20 {
				r := Row{Unit: i, X: []float64{1, float64(n) / 20}}
				if rng.Float64() < logistic(level+rise*r.X[1]+b[i]) {
					r.Events = 1
				}
				rows = append(rows, r)
			}
		}
		m, err := Fit(rows, 8, opt)
		require.NoError(t, err)
		const n = 200
		at := make([][]float64, 8)
		x := []float64{1, 1}
		draws := rand.New(rand.NewPCG(uint64(set), 1))
		for range n {
			d := m.Draw(draws)
			for i := range at {
				at[i] = append(at[i], d.Chance(i, x))
			}
		}
		for i := range at {
			slices.Sort(at[i])
			truth := logistic(level + rise + b[i])
			if truth >= at[i][n/10] && truth <= at[i][n-n/10-1] {
				inside++
			}
			asked++
		}
	}
	share := float64(inside) / float64(asked)
	t.Logf("80 %% intervals of a unit's chance held %.1f %% of %d truths", 100*share, asked)
	require.InDelta(t, 0.8, share, 0.04)
}

// The cost of a fit grows as the number of rows.
func BenchmarkFit(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		rows := simulated(n/20, 20, -2, 1, 0.5, 1)
		b.Run(fmt.Sprintf("rows=%d", n), func(b *testing.B) {
			for b.Loop() {
				_, err := Fit(rows, n/20, Options{})
				require.NoError(b, err)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/row")
		})
	}
}

// One unit drawn by itself has the law that it has among all.
func TestOneUnitIsDrawnAsAmongAll(t *testing.T) {
	m, err := Fit(simulated(8, 15, -1.5, 1, 0.8, 3), 8, Options{Spread: HalfNormal{Scale: 1}, Points: 64})
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(8, 8))
	for _, unit := range []int{-1, 2} {
		var one, all [2]float64
		const n = 20000
		for range n {
			beta, own := m.DrawUnit(unit, rng)
			a := logistic(beta[0] + beta[1] + own)
			b := m.Draw(rng).Chance(unit, []float64{1, 1})
			one[0], one[1] = one[0]+a/n, one[1]+a*a/n
			all[0], all[1] = all[0]+b/n, all[1]+b*b/n
		}
		require.InDelta(t, all[0], one[0], 0.006)
		require.InDelta(t, all[1], one[1], 0.006)
		require.InDelta(t, m.Chance(unit, []float64{1, 1}), one[0], 0.006)
	}
}
