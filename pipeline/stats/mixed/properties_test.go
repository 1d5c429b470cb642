package mixed

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// same compares two fits of the same model; factor turns the units of y.
func same(t *testing.T, a, b *Model, factor, tolerance float64) {
	t.Helper()
	spare := float64(a.N)
	if a.Criterion == REML {
		spare -= float64(a.P)
	}
	near(t, a.Deviance+2*spare*math.Log(factor), b.Deviance, tolerance, 1)
	near(t, factor*a.Sigma, b.Sigma, tolerance, 0)
	require.Equal(t, a.Rank, b.Rank)
	for k := range a.Q {
		near(t, factor*a.SD(k), b.SD(k), 10*tolerance, 1e-3*b.Sigma)
	}
	for j := range a.Beta {
		near(t, factor*a.Beta[j], b.Beta[j], tolerance, b.BetaSE()[j])
		near(t, factor*a.BetaSE()[j], b.BetaSE()[j], 10*tolerance, 0)
	}
}

// The order of rows and the way they are merged matter to rounding only.
func TestOrderAndMerge(t *testing.T) {
	eachDesign(t, func(t *testing.T, r *rows, m *Model) {
		order := rand.New(rand.NewPCG(1, 2)).Perm(len(r.y))
		shuffled := &rows{}
		for _, i := range order {
			shuffled.add(r.group[i], r.x[i], r.z[i], r.y[i], r.w[i])
		}
		same(t, m, shuffled.fit(t, m.Criterion), 1, 1e-8)

		a, b := NewSums(r.p, r.q), NewSums(r.p, r.q)
		for i, g := range r.group {
			into := a
			if i%3 == 0 {
				into = b
			}
			into.Add(g, r.x[i], r.z[i], r.y[i], r.w[i])
		}
		a.Merge(b)
		require.Equal(t, len(r.y), a.N())
		merged, err := Fit(a, m.Criterion)
		require.NoError(t, err)
		same(t, m, merged, 1, 1e-8)

		a.Reset()
		for i, g := range r.group {
			a.Add(g, r.x[i], r.z[i], r.y[i], r.w[i])
		}
		again, err := Fit(a, m.Criterion)
		require.NoError(t, err)
		require.Equal(t, m.Deviance, again.Deviance, "the same rows give the same bits")
		require.Equal(t, m.Theta, again.Theta)
	})
}

// Units of y change units only; so do units of a column of X; and an origin of
// time far away (which makes the columns nearly alike) changes only the
// constant.
func TestUnitsAndOrigins(t *testing.T) {
	eachDesign(t, func(t *testing.T, r *rows, m *Model) {
		far := &rows{}
		for i, g := range r.group {
			x := append([]float64(nil), r.x[i]...)
			for j := range x {
				x[j] *= math.Pow(10, float64(3*j-4))
			}
			far.add(g, x, r.z[i], 1e5*r.y[i], r.w[i])
		}
		f := far.fit(t, m.Criterion)
		require.Equal(t, m.Rank, f.Rank)
		for j := range m.Beta {
			scale := 1e5 / math.Pow(10, float64(3*j-4))
			near(t, scale*m.Beta[j], f.Beta[j], 1e-8, f.BetaSE()[j])
			near(t, scale*m.BetaSE()[j], f.BetaSE()[j], 1e-7, 0)
		}
		near(t, 1e5*m.Sigma, f.Sigma, 1e-8, 0)

		if r.p < 2 || r.q < 2 {
			return
		}
		shifted := &rows{}
		for i, g := range r.group {
			x, z := append([]float64(nil), r.x[i]...), append([]float64(nil), r.z[i]...)
			x[1], z[1] = x[1]+40000, z[1]+40000
			shifted.add(g, x, z, r.y[i], r.w[i])
		}
		s := shifted.fit(t, m.Criterion)
		near(t, m.Deviance, s.Deviance, 1e-9, 1)
		near(t, m.Sigma, s.Sigma, 1e-7, 0)
		near(t, m.SD(1), s.SD(1), 1e-5, 1e-3*m.Sigma)
		near(t, m.Mode(2)[1], s.Mode(2)[1], 1e-5, m.SD(1))
	})
}

// Adding a row of a group that exists, and predicting, allocate nothing.
func TestNoAllocation(t *testing.T) {
	r := lineRows(40, func(i int) int { return i % 4 })
	s, i := r.sums(), 0
	require.Zero(t, testing.AllocsPerRun(100, func() {
		s.Add(r.group[i], r.x[i], r.z[i], r.y[i], 1.5)
		i = (i + 1) % 40
	}))
	m, err := Fit(s, REML)
	require.NoError(t, err)
	require.Zero(t, testing.AllocsPerRun(100, func() { m.Predict(2, r.x[0], r.z[0]) }))
}

// A row of weight 2 and the same row twice give the same cross-products, so the
// same β, modes and their covariances by σ² at the same θ; but one row less, so
// that σ, the criterion and the best θ differ.
func TestWeightIsNotTwoRows(t *testing.T) {
	once, twice := &rows{}, &rows{}
	for i := range 24 {
		g, u := i%4, float64(i%5)
		x, y := []float64{1, u}, math.Cos(float64(3*i))+float64(g)+0.5*u
		if i%3 > 0 {
			once.add(g, x, x[:1], y, 1)
			twice.add(g, x, x[:1], y, 1)
			continue
		}
		once.add(g, x, x[:1], y, 2)
		twice.add(g, x, x[:1], y, 1)
		twice.add(g, x, x[:1], y, 1)
	}
	var states [2]*state
	for i, r := range []*rows{once, twice} {
		k, b, err := prepare(r.sums(), ML)
		require.NoError(t, err)
		states[i] = k.newState()
		lam := square3{0.7 * b.tInv[0]} // the same Λ in both
		k.eval(states[i], &lam, 0)
		for j := range states[i].s {
			// y is scaled by √(n−p): undo that
			row, col := j/k.w, j%k.w
			if row == k.p {
				states[i].s[j] *= b.scale
			}
			if col == k.p {
				states[i].s[j] *= b.scale
			}
		}
	}
	for j := range states[0].s {
		near(t, states[0].s[j], states[1].s[j], 1e-12, 1)
	}
	a, b := once.fit(t, ML), twice.fit(t, ML)
	require.Equal(t, 24, a.N)
	require.Equal(t, 32, b.N)
	require.Greater(t, math.Abs(a.Sigma-b.Sigma), 0.01*a.Sigma)
	require.Greater(t, math.Abs(a.Theta[0]-b.Theta[0]), 1e-3)
	require.Greater(t, math.Abs(a.Deviance-b.Deviance), 1.0)
}

// The gradient is the derivative of the criterion, with σ profiled out and with
// σ given, away from the optimum and on the boundary.
func TestGradient(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	eachDesign(t, func(t *testing.T, rows *rows, m *Model) {
		k, q, st := m.k, m.Q, m.k.newState()
		for _, variance := range []float64{0, 0.7} {
			for try := range 4 {
				var lam square3
				for i := range q * q {
					lam[i] = r.NormFloat64() * math.Pow(10, float64(try-2))
				}
				if try == 3 { // a column without variance
					for i := range q {
						lam[i*q+q-1] = 0
					}
				}
				k.eval(st, &lam, variance)
				slope := k.pull(st, &lam)
				for i := range q * q {
					h := 1e-5 * max(math.Abs(lam[i]), 0.01)
					up, down := lam, lam
					up[i] += h
					down[i] -= h
					numeric := (k.eval(st, &up, variance) - k.eval(st, &down, variance)) / (2 * h)
					require.InDelta(t, numeric, slope[i], 1e-6*(1+math.Abs(slope[i]))+1e-9/h, "entry %d", i)
				}
			}
		}
	})
}

// At every optimum the first-order conditions over covariances hold: M G = 0,
// M without negative eigenvalue.
func TestOptimality(t *testing.T) {
	eachDesign(t, func(t *testing.T, rows *rows, m *Model) {
		h := &hunt{k: m.k, st: m.k.newState()}
		require.True(t, h.optimal(found{lam: m.lam}))
		m.k.eval(h.st, &m.lam, 0)
		slope := m.k.pull(h.st, &m.lam)
		for i, v := range slope[:m.Q*m.Q] {
			require.InDelta(t, 0, v, 1e-7*float64(m.N), "entry %d", i)
		}
	})
}

// A balanced one-way layout has closed forms (Searle, Casella & McCulloch
// 1992, Variance Components): REML gives the mean square within as
// σ², and (between − within)/rows a group as the other, or 0 for that and the
// total mean square as σ² if it would be negative.
func TestBalancedOneWay(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for try := range 40 {
		groups, size := 3+r.IntN(8), 2+r.IntN(6)
		between := []float64{0, 0.3, 1, 1e3, 1e6}[try%5]
		data, cells := &rows{}, make([][]float64, groups)
		for g := range groups {
			b := between * r.NormFloat64()
			for range size {
				y := 100 + b + r.NormFloat64()
				cells[g] = append(cells[g], y)
				data.add(g, []float64{1}, []float64{1}, y, 1)
			}
		}
		grand, ssb, ssw := 0.0, 0.0, 0.0
		means := make([]float64, groups)
		for g, c := range cells {
			for _, y := range c {
				means[g] += y / float64(size)
			}
			grand += means[g] / float64(groups)
		}
		for g, c := range cells {
			ssb += float64(size) * (means[g] - grand) * (means[g] - grand)
			for _, y := range c {
				ssw += (y - means[g]) * (y - means[g])
			}
		}
		msb, msw := ssb/float64(groups-1), ssw/float64(groups*(size-1))
		m := data.fit(t, REML)
		near(t, grand, m.Beta[0], 1e-12, m.BetaSE()[0])
		if msb <= msw {
			require.Zero(t, m.Theta[0])
			require.True(t, m.Singular)
			near(t, math.Sqrt((ssb+ssw)/float64(groups*size-1)), m.Sigma, 1e-10, 0)
			continue
		}
		require.False(t, m.Singular)
		near(t, math.Sqrt(msw), m.Sigma, 1e-8, 0)
		near(t, (msb-msw)/float64(size), m.G()[0][0], 1e-7, 1e-3*msw)
		near(t, math.Sqrt(msb/float64(groups*size)), m.BetaSE()[0], 1e-8, 0)
	}
}
