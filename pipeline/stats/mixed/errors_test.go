package mixed

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// line adds rows (1, u) with a random intercept.
func lineRows(n int, group func(i int) int) *rows {
	r := &rows{}
	for i := range n {
		u := float64(i % 5)
		r.add(group(i), []float64{1, u}, []float64{1}, math.Sin(float64(7*i))+u, 1)
	}
	return r
}

func TestErrorsInWords(t *testing.T) {
	fit := func(s *Sums) error {
		_, err := Fit(s, REML)
		return err
	}
	require.ErrorIs(t, fit(NewSums(2, 1)), ErrNoRows)
	require.ErrorIs(t, fit(lineRows(2, func(i int) int { return i }).sums()), ErrTooFewRows)
	require.ErrorIs(t, fit(lineRows(9, func(int) int { return 4 }).sums()), ErrOneGroup)
	require.ErrorIs(t, fit(lineRows(9, func(i int) int { return i }).sums()), ErrNoSpare)
	none := NewSums(0, 1)
	none.Add(0, nil, []float64{1}, 1, 1)
	require.ErrorIs(t, fit(none), ErrNoFixed)

	exact, within := &rows{}, &rows{}
	for i := range 12 {
		g, u := i%3, float64(i%4)
		exact.add(g, []float64{1, u}, []float64{1}, 3+2*u, 1)
		within.add(g, []float64{1, u}, []float64{1}, 3+2*u+float64(g*g), 1)
	}
	require.ErrorIs(t, fit(exact.sums()), ErrExactFit)
	require.ErrorIs(t, fit(within.sums()), ErrExactFit)

	zero := NewSums(1, 1)
	zero.Add(0, []float64{1}, []float64{1}, 1, 0)
	require.ErrorIs(t, fit(zero), ErrNoRows, "a row of weight 0 is no row")
	require.ErrorContains(t, fit(zero), "mixed model not fitted")
}

func TestAliasedColumns(t *testing.T) {
	fixed, random := &rows{}, &rows{}
	for i := range 30 {
		g, u, v := i%5, float64(i%7), math.Cos(float64(i))
		// columns 2 (= 2·0 − 3·1), 4 (zero) and 5 (= 0 + 3) are aliased
		fixed.add(g, []float64{1, u, 2 - 3*u, v, 0, 1 + v}, []float64{1}, math.Sin(float64(i)), 1)
		random.add(g, []float64{1, u}, []float64{1, u, 1e-3 * u}, math.Sin(float64(i)), 1)
	}
	var aliased *AliasedError
	_, err := Fit(fixed.sums(), ML)
	require.ErrorAs(t, err, &aliased)
	require.Equal(t, FixedColumns, aliased.Part)
	require.Equal(t, []int{2, 4, 5}, aliased.Columns)
	require.ErrorContains(t, err, "columns of X")
	_, err = Fit(random.sums(), ML)
	require.ErrorAs(t, err, &aliased)
	require.Equal(t, RandomColumns, aliased.Part)
	require.Equal(t, []int{2}, aliased.Columns)
}

// Rows that cannot be used are named, the first of them, also through Merge.
func TestRowErrors(t *testing.T) {
	for _, bad := range []struct {
		x, z, y, w float64
	}{
		{math.NaN(), 1, 1, 1}, {1, math.Inf(1), 1, 1}, {1, 1, math.NaN(), 1}, {1, 1, 1e200, 1},
		{1, 1, 1, -1}, {1, 1, 1, math.NaN()}, {1, 1, 1, math.Inf(1)}, {1e100, 1, 1, 1e100},
	} {
		a, b := NewSums(1, 1), NewSums(1, 1)
		a.Add(0, []float64{1}, []float64{1}, 1, 1)
		b.Add(0, []float64{1}, []float64{1}, 2, 1)
		b.Add(3, []float64{bad.x}, []float64{bad.z}, bad.y, bad.w)
		b.Add(1, []float64{math.NaN()}, []float64{1}, 1, 1)
		a.Merge(b)
		_, err := Fit(a, REML)
		var row *RowError
		require.ErrorAs(t, err, &row)
		require.Equal(t, 2, row.Row)
		require.Equal(t, 3, row.Group)
	}
}

func TestProgrammerErrorsPanic(t *testing.T) {
	require.Panics(t, func() { NewSums(1, -1) })
	require.Panics(t, func() { NewSums(1, 4) })
	require.Panics(t, func() { NewSums(-1, 1) })
	s := NewSums(2, 1)
	require.Panics(t, func() { s.Add(0, []float64{1}, []float64{1}, 1, 1) })
	require.Panics(t, func() { s.Add(-1, []float64{1, 2}, []float64{1}, 1, 1) })
	require.Panics(t, func() { s.Merge(NewSums(1, 1)) })
	m := lineRows(20, func(i int) int { return i % 4 }).fit(t, REML)
	require.Panics(t, func() { m.Predict(0, []float64{1}, []float64{1}) })
	require.Panics(t, func() { _, _ = m.Profile(1) })
}

// Merging with itself doubles every row.
func TestMergeWithItself(t *testing.T) {
	r := lineRows(20, func(i int) int { return i % 4 })
	s := r.sums()
	s.Merge(s)
	double := &rows{}
	for i, g := range append(r.group, r.group...) {
		double.add(g, r.x[i%20], r.z[i%20], r.y[i%20], r.w[i%20])
	}
	m, err := Fit(s, ML)
	require.NoError(t, err)
	same(t, double.fit(t, ML), m, 1, 1e-9)
}

// Whatever numbers come, a fit is an error value or a model of finite numbers:
// never a panic. Columns repeat, vanish, take few or huge values; groups are
// small; y may follow X exactly.
func TestNeverPanics(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	fits, errs := 0, map[error]int{}
	for range 4000 {
		data := wild(r)
		m, err := Fit(data.sums(), Criterion(r.IntN(2)))
		if err != nil {
			for _, known := range []error{ErrTooFewRows, ErrOneGroup, ErrNoSpare, ErrExactFit, ErrNoOptimum} {
				if errors.Is(err, known) {
					errs[known]++
				}
			}
			continue
		}
		fits++
		all := []float64{m.Deviance, m.Sigma, m.ResidualDF}
		all = append(append(append(all, m.Beta...), m.BetaSE()...), m.Theta...)
		mean, variance := m.Predict(r.IntN(6)-1, data.x[0], data.z[0])
		all = append(append(all, mean, variance), m.DF()...)
		for _, v := range all {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%+v", data)
		}
		require.GreaterOrEqual(t, variance, 0.0)
		require.Equal(t, m.Singular, m.Rank < m.Q)
		_, _, err = m.LeaveOut(0)
		if err != nil {
			var aliased *AliasedError
			require.ErrorAs(t, err, &aliased)
		}
		if fits%20 == 0 {
			_, _ = m.Profile(0.9)
		}
	}
	t.Log("fits", fits, "errors", errs)
	require.Greater(t, fits, 1000)
	require.Zero(t, errs[ErrNoOptimum])
}

func wild(r *rand.Rand) *rows {
	p, q := 1+r.IntN(4), 1+r.IntN(3)
	n, groups := 1+r.IntN(30), 1+r.IntN(6)
	value := func() float64 {
		switch r.IntN(4) {
		case 0:
			return float64(r.IntN(3))
		case 1:
			return 1
		case 2:
			return r.NormFloat64()
		}
		return math.Round(r.NormFloat64() * 10)
	}
	scale := math.Pow(10, float64(r.IntN(13)-6))
	offset := float64(r.IntN(2)) * 1e4
	exact := r.IntN(10) == 0
	data := &rows{}
	for range n {
		x, z := make([]float64, p), make([]float64, q)
		for j := range x {
			x[j] = value()
		}
		x[0] = 1
		for j := range z {
			z[j] = value()
			if r.IntN(2) == 0 {
				z[j] = x[j%p]
			}
		}
		g := r.IntN(groups)
		y := offset + float64(g)*x[p-1]
		if !exact {
			y += r.NormFloat64()
		}
		data.add(g, x, z, scale*y, 1+float64(r.IntN(3)))
	}
	return data
}
