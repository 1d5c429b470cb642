package mixed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// decline is b1·exp(−b2·x), by 0.5 in x.
func decline(i int, beta, _, byBeta, _ []float64) float64 {
	x := 0.5 * float64(i)
	byBeta[0] = math.Exp(-beta[1] * x)
	byBeta[1] = -beta[0] * x * byBeta[0]
	return beta[0] * byBeta[0]
}

var declining = []float64{5.1, 3.9, 3.2, 2.3, 1.9, 1.6, 1.1, 1.0}

func ungrouped(y []float64) Rows {
	return Rows{N: len(y), Group: func(int) int { return 0 }, Y: func(i int) float64 { return y[i] }}
}

// A line is fitted as Fit fits it, whatever the start.
func TestALineByDampedSteps(t *testing.T) {
	line := func(i int, beta, _, byBeta, _ []float64) float64 {
		byBeta[0], byBeta[1] = 1, float64(i)+1e4
		return beta[0] + beta[1]*byBeta[1]
	}
	s := NewSums(2, 0)
	for i, y := range declining {
		s.Add(0, []float64{1, float64(i) + 1e4}, nil, y, 1)
	}
	want, err := Fit(s, REML)
	require.NoError(t, err)
	for _, start := range [][]float64{{0, 0}, {1e6, -3}, {-1e9, 1e9}} {
		got, err := FitNonlinear(ungrouped(declining), 0, start, line, REML)
		require.NoError(t, err)
		for j := range want.Beta {
			require.InEpsilon(t, want.Beta[j], got.Beta[j], 1e-9)
			require.InEpsilon(t, want.BetaSE()[j], got.BetaSE()[j], 1e-9)
		}
		require.InEpsilon(t, want.Sigma, got.Sigma, 1e-10)
		require.InEpsilon(t, want.Deviance, got.Deviance, 1e-10)
	}
}

// A row of weight 3 draws the parameters as three equal rows do; a row of
// weight 0 does not count.
func TestWeightsOfNonlinearRows(t *testing.T) {
	weights := []float64{1, 3, 1, 0, 2, 1, 1, 1}
	rows := ungrouped(declining)
	rows.Weight = func(i int) float64 { return weights[i] }
	got, err := FitNonlinear(rows, 0, []float64{1, 1}, decline, REML)
	require.NoError(t, err)
	require.Equal(t, 7, got.N)

	var which []int
	for i, w := range weights {
		for range int(w) {
			which = append(which, i)
		}
	}
	want, err := FitNonlinear(Rows{N: len(which), Group: func(int) int { return 0 },
		Y: func(i int) float64 { return declining[which[i]] },
	}, 0, []float64{1, 1}, func(i int, beta, b, byBeta, byB []float64) float64 {
		return decline(which[i], beta, b, byBeta, byB)
	}, REML)
	require.NoError(t, err)
	for j := range want.Beta {
		require.InEpsilon(t, want.Beta[j], got.Beta[j], 1e-9)
	}
}

// What is believed beforehand counts as in a linear fit, and as no row.
func TestPriorsOfNonlinearRows(t *testing.T) {
	const believed, firmness = 4.0, 2.0 // of the slope, and how many times firmer than σ
	y := append([]float64{3, 8, 9, 16}, firmness*believed)
	rows := ungrouped(y)
	rows.Group = func(i int) int { return i / 4 }
	rows.Priors = 1
	line := func(i int, beta, _, byBeta, _ []float64) float64 {
		byBeta[0], byBeta[1] = 1, float64(i)
		if i == 4 {
			byBeta[0], byBeta[1] = 0, firmness
		}
		return dot(beta, byBeta)
	}
	got, err := FitNonlinear(rows, 0, []float64{0, 0}, line, REML)
	require.NoError(t, err)
	require.Equal(t, 4, got.N)
	s := NewSums(2, 0)
	for i := range 4 {
		s.Add(0, []float64{1, float64(i)}, nil, y[i], 1)
	}
	s.AddPrior(1, []float64{0, firmness}, firmness*believed)
	want, err := Fit(s, REML)
	require.NoError(t, err)
	for j := range want.Beta {
		require.InEpsilon(t, want.Beta[j], got.Beta[j], 1e-9)
	}
	require.InEpsilon(t, want.Sigma, got.Sigma, 1e-9)
}

// Units of x and y change units only.
func TestUnitsOfNonlinearRows(t *testing.T) {
	want, err := FitNonlinear(ungrouped(declining), 0, []float64{1, 1}, decline, REML)
	require.NoError(t, err)
	rows := ungrouped(declining)
	rows.Y = func(i int) float64 { return 1e7 * declining[i] }
	got, err := FitNonlinear(rows, 0, []float64{1e7, 1e-6}, func(i int, beta, b, byBeta, byB []float64) float64 {
		value := decline(i, []float64{beta[0], 1e6 * beta[1]}, b, byBeta, byB)
		byBeta[1] *= 1e6
		return value
	}, REML)
	require.NoError(t, err)
	require.InDelta(t, want.Iterations, got.Iterations, 2, "the path is the same")
	require.InEpsilon(t, 1e7*want.Beta[0], got.Beta[0], 1e-9)
	require.InEpsilon(t, 1e-6*want.Beta[1], got.Beta[1], 1e-9)
	require.InEpsilon(t, 1e7*want.Sigma, got.Sigma, 1e-9)
}

func TestErrorsWithoutRandomEffects(t *testing.T) {
	exact := make([]float64, 8)
	for i := range exact {
		exact[i] = decline(i, []float64{3, 0.2}, nil, make([]float64, 2), nil)
	}
	_, err := FitNonlinear(ungrouped(exact), 0, []float64{1, 1}, decline, REML)
	require.ErrorIs(t, err, ErrExactFit)

	_, err = FitNonlinear(ungrouped(declining[:2]), 0, []float64{1, 1}, decline, REML)
	require.ErrorIs(t, err, ErrTooFewRows)

	_, err = FitNonlinear(ungrouped(nil), 0, []float64{1, 1}, decline, REML)
	require.ErrorIs(t, err, ErrNoRows)

	_, err = FitNonlinear(ungrouped(declining), 0, nil, func(int, []float64, []float64, []float64, []float64) float64 { return 1 }, REML)
	require.ErrorIs(t, err, ErrNoFixed)

	_, err = FitNonlinear(ungrouped(declining), 0, []float64{1, -1e6}, decline, REML)
	require.ErrorIs(t, err, ErrUndefined)

	gap := append([]float64(nil), declining...)
	gap[3] = math.NaN()
	_, err = FitNonlinear(ungrouped(gap), 0, []float64{1, 1}, decline, REML)
	require.Error(t, err)

	twice := func(i int, beta, b, byBeta, byB []float64) float64 { // only b1 + b2 shows
		value := decline(i, []float64{beta[0] + beta[1], beta[2]}, b, byBeta[1:], byB)
		byBeta[0] = byBeta[1]
		return value
	}
	var aliased *AliasedError
	_, err = FitNonlinear(ungrouped(declining), 0, []float64{1, 1, 1}, twice, REML)
	require.ErrorAs(t, err, &aliased)
	require.Equal(t, []int{1}, aliased.Columns)

	idle := func(i int, beta, b, byBeta, byB []float64) float64 { // b3 does nothing
		byBeta[2] = 0
		return decline(i, beta, b, byBeta, byB)
	}
	_, err = FitNonlinear(ungrouped(declining), 0, []float64{1, 1, 1}, idle, REML)
	require.ErrorAs(t, err, &aliased)
	require.Equal(t, []int{2}, aliased.Columns)

	noDerivative := func(i int, beta, b, byBeta, byB []float64) float64 {
		value := decline(i, beta, b, byBeta, byB)
		byBeta[1] = math.NaN()
		return value
	}
	var row *RowError
	_, err = FitNonlinear(ungrouped(declining), 0, []float64{1, 1}, noDerivative, REML)
	require.ErrorAs(t, err, &row)

	// A derivative of the wrong sign: no step goes down, and the search says so.
	wrongWay := func(i int, beta, b, byBeta, byB []float64) float64 {
		value := decline(i, beta, b, byBeta, byB)
		byBeta[0], byBeta[1] = -byBeta[0], -byBeta[1]
		return value
	}
	_, err = FitNonlinear(ungrouped(declining), 0, []float64{1, 1}, wrongWay, REML)
	require.ErrorIs(t, err, ErrNotSettled)

	// The same with random effects, where a second start does not help either.
	rows := ungrouped(declining)
	rows.Group = func(i int) int { return i / 4 }
	_, err = FitNonlinear(rows, 1, []float64{1, 1}, func(i int, beta, b, byBeta, byB []float64) float64 {
		value := wrongWay(i, []float64{beta[0] + b[0], beta[1]}, nil, byBeta, nil)
		byB[0] = byBeta[0]
		return value
	}, ML)
	require.ErrorIs(t, err, ErrNotSettled)
}
