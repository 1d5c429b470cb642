package mixed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Limits hold together: they enclose the estimate, widen with the level, and
// where an effect may have no variance at all its correlations may be anything.
func TestLimitsHoldTogether(t *testing.T) {
	eachDesign(t, func(t *testing.T, rows *rows, m *Model) {
		narrow, err := m.Profile(0.8)
		require.NoError(t, err)
		wide, err := m.Profile(0.95)
		require.NoError(t, err)
		for i, c := range wide {
			if math.IsNaN(c.Estimate) {
				require.True(t, math.IsNaN(c.Lower) && math.IsNaN(c.Upper))
				continue
			}
			require.LessOrEqual(t, c.Lower, narrow[i].Lower)
			require.LessOrEqual(t, narrow[i].Lower, c.Estimate)
			require.LessOrEqual(t, c.Estimate, narrow[i].Upper)
			require.LessOrEqual(t, narrow[i].Upper, c.Upper)
			if c.Kind == Correlation && (wide[c.I].Lower == 0 || wide[c.J].Lower == 0) {
				require.Equal(t, []float64{-1, 1}, []float64{c.Lower, c.Upper})
			}
		}
	})
}

// Derivatives by standard deviations, correlations and σ, and those of the
// charts that profiles run in.
func TestGradientOfCharts(t *testing.T) {
	eachDesign(t, func(t *testing.T, rows *rows, m *Model) {
		for _, c := range m.estimates() {
			if math.IsNaN(c.Estimate) || math.Abs(c.Estimate) == 1 {
				continue
			}
			tr := m.tracer(c)
			x := append([]float64(nil), tr.x...)
			for i := range x {
				x[i] += 0.1 + 0.05*float64(i)
			}
			tr.value = c.Estimate + 0.1*(1-math.Abs(c.Estimate))
			if c.Kind != Correlation {
				tr.value = c.Estimate*1.2 + 0.01
			}
			slope, none := make([]float64, len(x)), make([]float64, len(x))
			tr.deviance(x, slope)
			for i := range x {
				h := 1e-5
				at := x[i]
				x[i] = at + h
				up := tr.deviance(x, none)
				x[i] = at - h
				down := tr.deviance(x, none)
				x[i] = at
				require.InDelta(t, (up-down)/(2*h), slope[i], 1e-5*(1+math.Abs(slope[i])), "kind %d coordinate %d", c.Kind, i)
			}
		}
	})
}
