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

// Reference: nlme 3.1-162, nlme(height ~ SSasymp(age, Asym, R0, lrc), random =
// Asym ~ 1) by maximum likelihood; Pinheiro & Bates (2000) treat the same set.
// nlme stops at a relative 1e-4 or so, hence the tolerances.
func TestLoblollyAgainstNlme(t *testing.T) {
	height, age, tree := loblolly(t)
	rows := Rows{N: len(height), Group: func(i int) int { return tree[i] }, Y: func(i int) float64 { return height[i] }}
	m, err := FitNonlinear(rows, 1, []float64{103, -8.5, -3.3}, asymptotic(age), ML)
	require.NoError(t, err)
	require.Equal(t, 14, m.Groups)
	require.InEpsilon(t, 101.449600017, m.Beta[0], 1e-4)
	require.InEpsilon(t, -8.62733072834, m.Beta[1], 1e-4)
	require.InEpsilon(t, -3.23375074393, m.Beta[2], 1e-4)
	require.InEpsilon(t, -114.742815903, m.LogLik(), 1e-5)
	require.InEpsilon(t, 0.718862545773, m.Sigma, 1e-3)
	require.InEpsilon(t, 3.65064180268, m.SD(0), 1e-3)
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
