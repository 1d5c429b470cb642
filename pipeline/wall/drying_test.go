package wall

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The lowest place of curves of known shape, with few looks: within, near an end and
// at it; and of one that cannot be looked at.
func TestLowest(t *testing.T) {
	looks := 0
	find := func(f func(float64) float64) float64 {
		looks = 0
		return lowest(func(x float64) float64 { looks++; return f(x) }, -0.7, 0, 0.7, dryingClose)
	}
	for _, at := range []float64{-0.65, -0.3, 0, 0.05, 0.4, 0.6} {
		require.InDelta(t, at, find(func(x float64) float64 { return 3 * (x - at) * (x - at) }), 0.03)
		require.LessOrEqual(t, looks, 11)
		require.InDelta(t, at, find(func(x float64) float64 { return math.Cosh(2*(x-at)) + 0.2*math.Pow(x-at, 3) }), 0.05)
		require.LessOrEqual(t, looks, 11)
	}
	require.Less(t, find(func(x float64) float64 { return x }), -0.6)
	require.Greater(t, find(func(x float64) float64 { return -x }), 0.6)
	require.True(t, math.IsNaN(find(func(x float64) float64 { return math.Log(x) })))
}

// The rows of a fit give what the law gives.
func TestKnownRowsFollowTheLaw(t *testing.T) {
	log, studio := demoLog(t)
	in := gather(log, studio)
	fitted, why := learn(in, Defaults())
	require.Empty(t, why)
	f := fitted.best
	require.Equal(t, filtrationLaw{}, f.law)
	rows := knownRowsOf(f.law, in, []sort{{design: f.design}}, nil)
	for i := range in.rows {
		b := f.mode(in.rows[i].mold)
		want, byBeta, byB := f.at(in.rows[i], f.model.Beta, b)
		gotBeta, gotB := make([]float64, len(byBeta)), make([]float64, len(byB))
		require.Equal(t, want, rows.logWall(f.law, &f.design, i, f.model.Beta, b, gotBeta, gotB))
		require.InDeltaSlice(t, byBeta, gotBeta, 1e-15)
		require.InDeltaSlice(t, byB, gotB, 1e-15)
	}
}
