package mixed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// manyRows draws rows of so many groups that the search starts from a sample
// of them. One column of X is 0 but in a few groups, which the sample may miss.
func manyRows(r *rand.Rand, groups, q int, size []float64) *rows {
	d := &rows{}
	for g := range groups {
		b := make([]float64, q)
		shared := r.NormFloat64()
		for k := range b {
			b[k] = size[k] * (0.6*shared + 0.8*r.NormFloat64())
		}
		rare := 0.0
		if g%(groups/3) == 1 {
			rare = 1
		}
		for range 1 + r.IntN(7) {
			t, u := 4*r.Float64(), r.NormFloat64()
			z := []float64{1, t, u}[:q]
			y := 3 - t + 0.3*u + rare + r.NormFloat64() + dot(z, b)
			d.add(g, []float64{1, t, u, rare}, z, y, 1)
		}
	}
	return d
}

// A fit of many groups starts from the optimum of a sample of them; it ends
// where a fit ends that starts from all: also where an effect has no variance,
// hardly any, or much.
func TestSampleIsOnlyAStart(t *testing.T) {
	for i, c := range []struct {
		q    int
		size []float64
	}{
		{1, []float64{0}},
		{1, []float64{1e-3}},
		{2, []float64{1, 1}},
		{2, []float64{1, 0}},
		{2, []float64{0, 1}},
		{3, []float64{0.02, 0.01, 0.3}},
		{3, []float64{30, 5, 0.1}},
	} {
		t.Run(fmt.Sprint(c.size), func(t *testing.T) {
			s := manyRows(rand.New(rand.NewPCG(uint64(i), 3)), enoughGroups+600, c.q, c.size).sums()
			m, err := Fit(s, REML)
			require.NoError(t, err)
			k, _, err := prepare(s, REML)
			require.NoError(t, err)
			h := &hunt{k: k, st: k.newState()}
			plain, err := h.from(h.multiple())
			require.NoError(t, err)
			require.InDelta(t, plain.value+k.base, m.Deviance, 1e-6)
			require.Equal(t, plain.rank, m.Rank)
		})
	}
}

// A column of X that is a column of Z in the first rows and then no longer
// counts as itself.
func TestTwinForAWhile(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	for _, twins := range []int{1, 20, 75, 150} {
		d := &rows{}
		for i := range 150 {
			u := r.NormFloat64()
			x := u
			if i >= twins {
				x = r.NormFloat64()
			}
			d.add(i%10, []float64{1, x}, []float64{1, u}, 2*x+u+r.NormFloat64()+float64(i%10), 1)
		}
		late := &rows{} // the other way round no row finds a twin
		for i := 149; i >= 0; i-- {
			late.add(d.group[i], d.x[i], d.z[i], d.y[i], d.w[i])
		}
		same(t, late.fit(t, REML), d.fit(t, REML), 1, 1e-8)
	}
}

// Rows that wait to be absorbed are in every answer: those of few groups, which
// never wait, and those of many.
func TestRowsThatWait(t *testing.T) {
	for _, far := range []int{5, cached} {
		s := NewSums(2, 1)
		for i := range 2*batch + 3 {
			g := i % 5
			if g == 4 {
				g = far
			}
			s.Add(g, []float64{1, float64(i * i)}, []float64{1}, math.Sqrt(float64(i)), 1)
			require.Equal(t, i+1, s.N())
			if i%7 == 0 {
				require.Equal(t, (i+5)/5, s.Rows(0))
			}
		}
		waiting := len(s.owners)
		require.Equal(t, far == cached, waiting > 0)
		merged := NewSums(2, 1)
		merged.Merge(s)
		m, err := Fit(s, REML)
		require.NoError(t, err)
		require.Equal(t, 2*batch+3, m.N)
		again, err := Fit(merged, REML)
		require.NoError(t, err)
		near(t, m.Deviance, again.Deviance, 1e-9, 1)

		s.Add(0, []float64{1, 1}, []float64{1}, 1, 1)
		s.Reset()
		require.Zero(t, s.Rows(0))
		require.Zero(t, s.N())
	}
}
