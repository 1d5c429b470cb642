package robust

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// mean is the weighted mean as a fit.
func mean(y []float64) Fit {
	return func(weights []float64) ([]float64, error) {
		sum, total := 0.0, 0.0
		for i, w := range weights {
			sum, total = sum+w*y[i], total+w
		}
		residuals := make([]float64, len(y))
		for i := range residuals {
			residuals[i] = y[i] - sum/total
		}
		return residuals, nil
	}
}

// By hand: Huber's mean of −1, 0, 1, 0.5 and 100 with the scale held at 1 solves
// −1 + 0 + 1 + 0.5 − 4μ + 1.345 = 0, so μ = 0.46125; but −1 is then 1.46125 away
// and pulls by −1.345 only: 1.5 − 3μ = 0, so μ = ½, at −1.5 from −1.
func TestHubersMeanByHand(t *testing.T) {
	y := []float64{-1, 0, 1, 0.5, 100}
	s := Settings{Weight: Huber(1.345), Scale: func([]float64) float64 { return 1 }, Rounds: 500, Settled: 1e-13}
	out, err := Reweight(len(y), s, mean(y))
	require.NoError(t, err)
	require.True(t, out.Settled)
	require.InDelta(t, 0.5, y[1]-out.Residuals[1], 1e-9)
	require.InDelta(t, 1.345/1.5, out.Weights[0], 1e-9)
	require.InDelta(t, 1.345/99.5, out.Weights[4], 1e-9)
	require.Equal(t, []float64{1, 1, 1}, out.Weights[1:4])
}

func TestNothingFarIsOneOrdinaryFit(t *testing.T) {
	y := []float64{1, 2, 3, 4, 5}
	out, err := Reweight(len(y), Settings{}, mean(y))
	require.NoError(t, err)
	require.Equal(t, Outcome{
		Weights: []float64{1, 1, 1, 1, 1}, Residuals: []float64{-2, -1, 0, 1, 2},
		Scale: normalMAD, Rounds: 1, Settled: true,
	}, out)
}

// Where more than half of the rows agree exactly there is no scale, and nothing
// can be called far.
func TestNoScale(t *testing.T) {
	out, err := Reweight(5, Settings{}, func([]float64) ([]float64, error) { return []float64{0, 0, 0, 0, 9}, nil })
	require.NoError(t, err)
	require.Zero(t, out.Scale)
	require.Equal(t, []float64{1, 1, 1, 1, 1}, out.Weights)
	require.True(t, out.Settled)
}

// A fit that swings for ever stops at the allowed rounds and says so.
func TestWeightsThatNeverSettle(t *testing.T) {
	calls := 0
	swing := func([]float64) ([]float64, error) {
		calls++
		if calls%2 == 0 {
			return []float64{1, 1, 1, 1, 50}, nil
		}
		return []float64{1, 1, 1, 50, 1}, nil
	}
	out, err := Reweight(5, Settings{}, swing)
	require.NoError(t, err)
	require.Equal(t, 30, calls)
	require.Equal(t, 30, out.Rounds)
	require.False(t, out.Settled)

	calls = 0
	_, err = Reweight(5, Settings{Rounds: 3}, swing)
	require.NoError(t, err)
	require.Equal(t, 3, calls)
}

func TestErrors(t *testing.T) {
	broken := errors.New("broken")
	calls := 0
	_, err := Reweight(3, Settings{}, func([]float64) ([]float64, error) {
		if calls++; calls == 2 {
			return nil, broken
		}
		return []float64{1, 1, 20}, nil
	})
	require.ErrorIs(t, err, broken)
	require.ErrorContains(t, err, "fit 2")

	for _, residuals := range [][]float64{nil, {1}, {1, 2, 3}, {1, math.NaN()}, {math.Inf(-1), 1}} {
		_, err := Reweight(2, Settings{}, func([]float64) ([]float64, error) { return residuals, nil })
		require.ErrorIs(t, err, ErrResiduals)
	}
	_, err = Reweight(0, Settings{}, func([]float64) ([]float64, error) { return nil, nil })
	require.ErrorIs(t, err, ErrResiduals)
}
