package lifetime

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Profile limits of shape and median against R's survreg with the shape held
// (survival_checks.R).
func TestProfileLimitsAgainstSurvreg(t *testing.T) {
	sets := map[string][]Unit{"bearings": bearings(t), "gehan6mp": gehan(t, "6-MP"), "gehancontrol": gehan(t, "control")}
	compared := 0
	for _, row := range rows(t, filepath.Join(kept, "profile_limits.csv")) {
		fit, err := FitWeibull(sets[row["set"]], Prior{})
		require.NoError(t, err)
		level := number(t, row["level"])
		got := fit.ShapeInterval(level)
		if row["what"] == "median" {
			got = fit.QuantileInterval(0.5, level)
		}
		assert.InEpsilon(t, number(t, row["lower"]), got.Lower, 1e-6, "%v", row)
		assert.InEpsilon(t, number(t, row["upper"]), got.Upper, 1e-6, "%v", row)
		compared++
	}
	require.Equal(t, 12, compared)
}

// Greenwood's standard errors and the limits of survfit's conf.type "log", with
// late entries as well (survival_checks.R).
func TestGreenwoodAgainstSurvfit(t *testing.T) {
	sets := map[string][]Unit{"bearings": bearings(t), "gehan6mp": gehan(t, "6-MP"), "gehancontrol": gehan(t, "control"), "stanford": stanford(t)}
	got := map[string]map[float64]Step{}
	for name, units := range sets {
		steps, err := KaplanMeier(units)
		require.NoError(t, err)
		got[name] = map[float64]Step{}
		for _, s := range steps {
			got[name][s.Age] = s
		}
	}
	compared := map[string]int{}
	for _, row := range rows(t, filepath.Join(kept, "survfit_steps.csv")) {
		s, ok := got[row["set"]][number(t, row["time"])]
		require.True(t, ok, "%v", row)
		compared[row["set"]]++
		assert.InDelta(t, number(t, row["surv"]), s.Survival, 1e-12, "%v", row)
		if row["se"] == "NA" {
			assert.True(t, math.IsNaN(s.SE), "%v", row)
			continue
		}
		assert.InDelta(t, number(t, row["se"]), s.SE, 1e-12, "%v", row)
		assert.InDelta(t, number(t, row["lower"]), s.Lower, 1e-12, "%v", row)
		assert.InDelta(t, number(t, row["upper"]), s.Upper, 1e-12, "%v", row)
	}
	for name, steps := range got {
		assert.Len(t, steps, compared[name], name)
	}
}
