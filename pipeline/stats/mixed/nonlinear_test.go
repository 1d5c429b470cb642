package mixed

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// loblolly is the height of 14 loblolly pines at six ages (Kung 1986; in R as
// datasets::Loblolly).
func loblolly(t *testing.T) (height, age []float64, tree []int) {
	f, err := os.Open("../../../testdata/mixed/loblolly.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	index := map[string]int{}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for _, r := range rows[1:] {
		h, err := strconv.ParseFloat(r[column["height"]], 64)
		require.NoError(t, err)
		a, err := strconv.ParseFloat(r[column["age"]], 64)
		require.NoError(t, err)
		seed := r[column["Seed"]]
		if _, ok := index[seed]; !ok {
			index[seed] = len(index)
		}
		height, age, tree = append(height, h), append(age, a), append(tree, index[seed])
	}
	return height, age, tree
}

// asymptotic is the asymptotic regression of R's SSasymp,
// Asym + (R0 − Asym)·exp(−exp(lrc)·x), with a random Asym.
func asymptotic(x []float64) Curve {
	return func(i int, beta, b, byBeta, byB []float64) float64 {
		asym := beta[0] + b[0]
		rate := math.Exp(beta[2])
		decay := math.Exp(-rate * x[i])
		byBeta[0] = 1 - decay
		byBeta[1] = decay
		byBeta[2] = -(beta[1] - asym) * decay * rate * x[i]
		byB[0] = byBeta[0]
		return asym + (beta[1]-asym)*decay
	}
}

// Starts from which the linearisations alone go astray: the rate of growth is
// several times too large or too small, so that whole trees follow one number.
func TestAStartFromWhichLinearisationFails(t *testing.T) {
	height, age, tree := loblolly(t)
	rows := Rows{N: len(height), Group: func(i int) int { return tree[i] }, Y: func(i int) float64 { return height[i] }}
	curve := asymptotic(age)
	want, err := FitNonlinear(rows, 1, []float64{103, -8.5, -3.3}, curve, ML)
	require.NoError(t, err)
	astray := 0
	for _, start := range [][]float64{
		{77.24, -6.537, -4.886}, {120.29, -4.512, -0.9711}, {42.09, -6.308, -4.975}, {137.3, -9.468, -1.337}, {144.1, -14.26, -1.246},
	} {
		if _, _, err := newSearch(rows, 1, start, curve).alternate(ML, nil, true); err != nil {
			astray++
		}
		got, err := FitNonlinear(rows, 1, start, curve, ML)
		require.NoError(t, err)
		require.InEpsilon(t, want.Deviance, got.Deviance, 1e-9)
		for j := range want.Beta {
			require.InEpsilon(t, want.Beta[j], got.Beta[j], 1e-6)
		}
	}
	require.Positive(t, astray, "if these starts have become harmless, take others")
}

func TestAFarStartEndsAtTheSamePlace(t *testing.T) {
	height, age, tree := loblolly(t)
	rows := Rows{N: len(height), Group: func(i int) int { return tree[i] }, Y: func(i int) float64 { return height[i] }}
	near, err := FitNonlinear(rows, 1, []float64{101, -8.6, -3.23}, asymptotic(age), REML)
	require.NoError(t, err)
	far, err := FitNonlinear(rows, 1, []float64{60, 0, -2}, asymptotic(age), REML)
	require.NoError(t, err)
	for j := range near.Beta {
		require.InEpsilon(t, near.Beta[j], far.Beta[j], 1e-6)
	}
	require.InEpsilon(t, near.Deviance, far.Deviance, 1e-7)
}

// A curve that is a line must give the linear fit, in one linearisation.
func TestALineIsTheLinearModel(t *testing.T) {
	height, age, tree := loblolly(t)
	rows := Rows{N: len(height), Group: func(i int) int { return tree[i] }, Y: func(i int) float64 { return height[i] }}
	line := func(i int, beta, b, byBeta, byB []float64) float64 {
		byBeta[0], byBeta[1] = 1, age[i]
		byB[0], byB[1] = 1, age[i]
		return beta[0] + b[0] + (beta[1]+b[1])*age[i]
	}
	got, err := FitNonlinear(rows, 2, []float64{0, 0}, line, REML)
	require.NoError(t, err)
	s := NewSums(2, 2)
	for i := range height {
		s.Add(tree[i], []float64{1, age[i]}, []float64{1, age[i]}, height[i], 1)
	}
	want, err := Fit(s, REML)
	require.NoError(t, err)
	require.InEpsilon(t, want.Deviance, got.Deviance, 1e-9)
	for j := range want.Beta {
		require.InEpsilon(t, want.Beta[j], got.Beta[j], 1e-9)
	}
}

func TestAnUndefinedStartIsAnError(t *testing.T) {
	rows := Rows{N: 4, Group: func(i int) int { return i / 2 }, Y: func(int) float64 { return 1 }}
	_, err := FitNonlinear(rows, 1, []float64{-1}, func(_ int, beta, _, byBeta, byB []float64) float64 {
		byBeta[0], byB[0] = 1, 1
		return math.Log(beta[0])
	}, ML)
	require.ErrorIs(t, err, ErrUndefined)
}
