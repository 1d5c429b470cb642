package mixed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Without random effects the fit is least squares. Reference: R's lm(dist ~
// speed, cars), Ezekiel 1930: −17.5790949, 3.9324088, σ 15.37959 on 48 degrees
// of freedom, residual standard errors 6.7584402 and 0.4155128.
func TestNoRandomEffectsIsLeastSquares(t *testing.T) {
	speed := []float64{4, 4, 7, 7, 8, 9, 10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 15, 15, 15, 16, 16, 17, 17, 17, 18, 18, 18, 18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24, 24, 25}
	dist := []float64{2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80, 20, 26, 54, 32, 40, 32, 40, 50, 42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85}
	for _, groups := range []int{1, 7} {
		s := NewSums(2, 0)
		for i := range speed {
			s.Add(i%groups, []float64{1, speed[i]}, nil, dist[i], 1)
		}
		m, err := Fit(s, REML)
		require.NoError(t, err)
		require.InEpsilon(t, -17.5790949, m.Beta[0], 1e-8)
		require.InEpsilon(t, 3.9324088, m.Beta[1], 1e-7)
		require.InEpsilon(t, 15.37959, m.Sigma, 1e-6)
		require.InEpsilon(t, 6.7584402, m.BetaSE()[0], 1e-7)
		require.InEpsilon(t, 0.4155128, m.BetaSE()[1], 1e-6)
		require.Equal(t, 48.0, m.ResidualDF)
		require.Equal(t, []float64{48, 48}, m.DF())
		require.False(t, m.Singular)
		require.Empty(t, m.Mode(0))
		mean, variance := m.Predict(0, []float64{1, 10}, nil)
		require.InEpsilon(t, -17.5790949+39.324088, mean, 1e-7)
		cov := m.BetaCov()
		require.InEpsilon(t, cov[0][0]+20*cov[0][1]+100*cov[1][1], variance, 1e-9)
		joint, jointCov := m.Joint(New)
		require.Len(t, joint, 2)
		require.InEpsilon(t, cov[1][1], jointCov[1][1], 1e-12)
		components, err := m.Profile(0.95)
		require.NoError(t, err)
		require.Len(t, components, 1)
		require.Less(t, components[0].Lower, m.Sigma)
		require.Greater(t, components[0].Upper, m.Sigma)
		require.False(t, math.IsNaN(components[0].StdErr))

		beta, _, err := m.LeaveOut(0)
		if groups == 1 {
			require.Error(t, err, "nothing is left")
		} else {
			require.NoError(t, err)
			rest := NewSums(2, 0)
			for i := range speed {
				if i%groups != 0 {
					rest.Add(0, []float64{1, speed[i]}, nil, dist[i], 1)
				}
			}
			want, err := Fit(rest, REML)
			require.NoError(t, err)
			require.InEpsilon(t, want.Beta[1], beta[1], 1e-9)
		}

		ml, err := Fit(s, ML)
		require.NoError(t, err)
		require.InEpsilon(t, -206.5784, ml.LogLik(), 1e-6) // R's logLik(lm(dist ~ speed, cars))
		require.InDelta(t, 3, ml.Parameters(), 0)
	}
}
