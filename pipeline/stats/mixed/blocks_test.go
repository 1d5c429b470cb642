package mixed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// sorted data: groups of one of several forms and kinds, each with columns of
// its own beside some that all share.
type sorts struct {
	forms, kinds, shared, q int
}

func (s sorts) p() int { return s.forms + s.kinds + s.shared }

func (s sorts) patterns() (out [][]int) {
	for f := range s.forms {
		for k := range s.kinds {
			columns := []int{f, s.forms + k}
			for j := range s.shared {
				columns = append(columns, s.forms+s.kinds+j)
			}
			out = append(out, columns)
		}
	}
	return out
}

// fill makes the same rows for Sums and for Blocks.
func (s sorts) fill(groups, rows int) (*Sums, *Blocks) {
	dense, lean := NewSums(s.p(), s.q), NewBlocks(s.p(), s.q, s.patterns())
	var block Block
	for g := range groups {
		pattern := s.block(g, rows, &block, func(x, z []float64, y, w float64) { dense.Add(g, x, z, y, w) })
		lean.Append(pattern, &block)
	}
	x := make([]float64, s.p())
	x[s.forms] = 3
	dense.AddPrior(groups, x, -0.1)
	lean.Prior(x, -0.1)
	return dense, lean
}

// block makes the rows of a group and gives its pattern.
func (s sorts) block(g, rows int, block *Block, add func(x, z []float64, y, w float64)) (pattern int) {
	rng := rand.New(rand.NewPCG(uint64(g), 5))
	form, kind := g%s.forms, (g/s.forms+g)%s.kinds
	level, wear := 0.1*rng.NormFloat64(), 0.002*rng.NormFloat64()
	block.Begin(2+s.shared, s.q)
	n := rng.IntN(rows)
	for i := range n {
		x, small, z := make([]float64, s.p()), make([]float64, 2+s.shared), make([]float64, s.q)
		age := float64(i)
		x[form], x[s.forms+kind], small[0], small[1] = 1, age, 1, age
		if s.q > 0 {
			z[0] = 1
		}
		if s.q > 1 {
			z[1] = age
		}
		y := float64(form)/5 - 0.01*age + level + wear*age + 0.03*rng.NormFloat64()
		for j := range s.shared {
			v := rng.NormFloat64()
			x[s.forms+s.kinds+j], small[2+j] = v, v
			y += 0.05 * v
		}
		w := 1.0
		if i%7 == 3 {
			w = 0.25 * float64(i%3)
		}
		add(x, z, y, w)
		block.Add(small, z, y, w)
	}
	return form*s.kinds + kind
}

func within(t *testing.T, want, got float64, rel float64, what ...any) {
	t.Helper()
	require.InDelta(t, want, got, rel*(math.Abs(want)+1e-6), what...)
}

// The check value is the same fit with all columns for every group, which is
// held against lme4 and others.
func TestBlocksFitAsSumsDo(t *testing.T) {
	for _, s := range []sorts{{4, 3, 2, 2}, {5, 2, 0, 2}, {3, 1, 1, 1}, {1, 1, 2, 2}, {3, 2, 1, 0}} {
		for _, c := range []Criterion{REML, ML} {
			t.Run(fmt.Sprint(s, c), func(t *testing.T) {
				dense, lean := s.fill(160, 30)
				want, err := Fit(dense, c)
				require.NoError(t, err)
				got, err := FitBlocks(lean, c, nil)
				require.NoError(t, err)
				require.Equal(t, want.N, got.N)
				require.InDelta(t, want.Deviance, got.Deviance, 1e-7*math.Abs(want.Deviance))
				within(t, want.Sigma, got.Sigma, 1e-7)
				require.Equal(t, want.ResidualDF, got.ResidualDF)
				for j := range want.Beta {
					within(t, want.Beta[j], got.Beta[j], 1e-6, j)
					within(t, want.BetaSE()[j], got.BetaSE()[j], 1e-6, j)
				}
				for j := range want.Theta {
					within(t, want.Theta[j], got.Theta[j], 1e-5, j)
				}
				require.Equal(t, want.DF(), got.DF())
				for i, a := range want.Components() {
					within(t, a.StdErr, got.Components()[i].StdErr, 1e-3)
				}
				x, z := make([]float64, s.p()), make([]float64, s.q)
				x[0], x[s.forms] = 1, 10
				if s.q > 0 {
					z[0] = 1
				}
				for _, g := range []int{0, 1, 17, 93, New} {
					m, v := want.Predict(g, x, z)
					mm, vv := got.Predict(g, x, z)
					within(t, m, mm, 1e-6)
					within(t, v, vv, 1e-5)
					a, ca := want.Joint(g)
					b, cb := got.Joint(g)
					for i := range a {
						within(t, a[i], b[i], 1e-5)
						within(t, ca[i][i], cb[i][i], 1e-5)
					}
					beta, cov, err := want.LeaveOut(g)
					require.NoError(t, err)
					some := []int{s.p() - 1, 0}
					_, few, err := got.LeaveOutSome(g, some)
					require.NoError(t, err)
					for i, a := range some {
						for j, b := range some {
							require.InDelta(t, cov[a][b], few[i][j], 1e-5*math.Sqrt(cov[a][a]*cov[b][b]))
						}
					}
					also, cova, err := got.LeaveOut(g)
					require.NoError(t, err)
					for i := range beta {
						within(t, beta[i], also[i], 1e-5)
						within(t, cov[i][i], cova[i][i], 1e-5)
					}
				}
			})
		}
	}
}

func TestBlocksAreTheSameOnAnyNumberOfCores(t *testing.T) {
	s := sorts{4, 3, 2, 2}
	fit := func(cores int) *Model {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		_, lean := s.fill(5000, 8)
		m, err := FitBlocks(lean, REML, nil)
		require.NoError(t, err)
		return m
	}
	one, four := fit(1), fit(4)
	require.Equal(t, one.Beta, four.Beta)
	require.Equal(t, one.Theta, four.Theta)
	require.Equal(t, one.Deviance, four.Deviance)
}

func TestBlocksJoinInOrder(t *testing.T) {
	s := sorts{2, 2, 1, 2}
	_, whole := s.fill(40, 12)
	_, first := s.fill(20, 12)
	_, second := s.fill(20, 12)
	first.priors = nil
	first.Join(second)
	require.Len(t, first.rows, 40)
	require.Equal(t, whole.tris[:20], first.tris[:20])
	require.Equal(t, whole.tris[:20], first.tris[20:])
}

// A column that one group alone tells apart cannot be told without it.
func TestBlocksWithoutTheOnlyGroupOfAForm(t *testing.T) {
	s := sorts{3, 1, 0, 2}
	lean := NewBlocks(s.p(), s.q, s.patterns())
	var block Block
	rng := rand.New(rand.NewPCG(1, 2))
	for g := range 30 {
		block.Begin(2, 2)
		form := g % 2
		if g == 11 {
			form = 2
		}
		b := rng.NormFloat64()
		for i := range 9 {
			block.Add([]float64{1, float64(i)}, []float64{1, float64(i)}, b+rng.NormFloat64(), 1)
		}
		lean.Append(form, &block)
	}
	m, err := FitBlocks(lean, REML, nil)
	require.NoError(t, err)
	_, _, err = m.LeaveOut(11)
	var aliased *AliasedError
	require.ErrorAs(t, err, &aliased)
	require.Equal(t, []int{2}, aliased.Columns)
	_, _, err = m.LeaveOut(12)
	require.NoError(t, err)
	within(t, m.BetaCov()[1][2], m.BetaCovOf([]int{1, 2})[0][1], 1e-9)
}

func TestAWrongRowOfABlockIsTold(t *testing.T) {
	lean := NewBlocks(1, 1, [][]int{{0}})
	var block Block
	block.Begin(1, 1)
	block.Add([]float64{1}, []float64{1}, math.NaN(), 1)
	lean.Append(0, &block)
	_, err := FitBlocks(lean, REML, nil)
	var row *RowError
	require.ErrorAs(t, err, &row)
}

// Groups given up are made anew when one is left out, with the same bits.
func TestGroupsGivenUpAreLeftOutAsBefore(t *testing.T) {
	s := sorts{forms: 3, kinds: 2, shared: 1, q: 2}
	_, lean := s.fill(60, 12)
	m, err := FitBlocks(lean, REML, nil)
	require.NoError(t, err)
	type left struct {
		beta []float64
		cov  [][]float64
	}
	leave := func() (out []left) {
		for g := range 60 {
			beta, cov, err := m.LeaveOut(g)
			require.NoError(t, err)
			out = append(out, left{beta, cov})
		}
		return out
	}
	before := leave()
	asked := 0
	m.Forget(func(g int) bool { return g%3 == 0 }, func(g int, of *Block) {
		asked++
		require.NotZero(t, g%3)
		s.block(g, 12, of, func([]float64, []float64, float64, float64) {})
	})
	require.Equal(t, before, leave())
	require.Greater(t, asked, 20)
}
