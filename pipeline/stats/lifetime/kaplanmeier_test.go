package lifetime

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPublishedProductLimits compares every step with R's survfit.
func TestPublishedProductLimits(t *testing.T) {
	aml := func(maintained bool) []Unit {
		return fromKept(t, "aml.csv", func(row map[string]string) (Unit, bool) {
			return Unit{Exit: number(t, row["time"]), Ended: row["status"] == "1"}, (row["x"] == "Maintained") == maintained
		})
	}
	sets := map[string][]Unit{"gehan6mp": gehan(t, "6-MP"), "aml_maintained": aml(true), "aml_nonmaintained": aml(false)}
	got := map[string][]Step{}
	for name, units := range sets {
		steps, err := KaplanMeier(units)
		require.NoError(t, err)
		got[name] = steps
	}
	for _, row := range rows(t, filepath.Join(kept, "kaplan_meier_reference.csv")) {
		steps := got[row["set"]]
		require.NotEmpty(t, steps, row["set"])
		s := steps[0]
		got[row["set"]] = steps[1:]
		what := row["set"] + " at " + row["time"]
		assert.Equal(t, number(t, row["time"]), s.Age, what)
		assert.Equal(t, number(t, row["n_risk"]), float64(s.AtRisk), what)
		assert.Equal(t, number(t, row["n_event"]), float64(s.Ended), what)
		assert.Equal(t, number(t, row["n_censor"]), float64(s.Censored), what)
		assert.InDelta(t, number(t, row["surv"]), s.Survival, 1e-14, what)
		if row["se"] == "" {
			assert.True(t, math.IsNaN(s.SE) && math.IsNaN(s.Lower) && math.IsNaN(s.Upper), what)
			continue
		}
		assert.InDelta(t, number(t, row["se"]), s.SE, 1e-13, what)
		assert.InDelta(t, number(t, row["lower"]), s.Lower, 1e-13, what)
		assert.InDelta(t, number(t, row["upper"]), s.Upper, 1e-13, what)
	}
	for name, rest := range got {
		assert.Empty(t, rest, "%s has steps that R has not", name)
	}
}

// TestGehanAsPrinted holds the printed figures of the 6-MP arm (Gehan 1965):
// S(6) = .857 (.0764), S(10) = .753, S(23) = .448.
func TestGehanAsPrinted(t *testing.T) {
	steps, err := KaplanMeier(gehan(t, "6-MP"))
	require.NoError(t, err)
	at := map[float64]Step{}
	for _, s := range steps {
		at[s.Age] = s
	}
	assert.InDelta(t, 0.857142857, at[6].Survival, 1e-9)
	assert.InDelta(t, 0.076360355, at[6].SE, 1e-9)
	assert.InDelta(t, 0.752941176, at[10].Survival, 1e-9)
	assert.InDelta(t, 0.448179272, at[23].Survival, 1e-9)
	assert.InDelta(t, 0.134591457, at[23].SE, 1e-9)
}

// TestLateEntries compares the Stanford spells with R's survfit.
func TestLateEntries(t *testing.T) {
	steps, err := KaplanMeier(stanford(t))
	require.NoError(t, err)
	want := rows(t, filepath.Join(kept, "stanford_heart_km.csv"))
	require.Len(t, steps, len(want))
	for i, row := range want {
		assert.Equal(t, number(t, row["time"]), steps[i].Age)
		assert.Equal(t, number(t, row["n_risk"]), float64(steps[i].AtRisk), "at risk at %s", row["time"])
		assert.Equal(t, number(t, row["n_event"]), float64(steps[i].Ended), "ended at %s", row["time"])
		assert.InDelta(t, number(t, row["surv"]), steps[i].Survival, 1e-14)
	}
}

func TestNoCensoringIsTheShareAlive(t *testing.T) {
	steps, err := KaplanMeier(bearings(t))
	require.NoError(t, err)
	left := 23
	for _, s := range steps {
		assert.Equal(t, left, s.AtRisk)
		left -= s.Ended
		share := float64(left) / 23
		assert.InDelta(t, share, s.Survival, 1e-14)
		if left > 0 { // binomial
			assert.InDelta(t, math.Sqrt(share*(1-share)/23), s.SE, 1e-14)
		}
	}
	assert.Zero(t, left)

	none, err := KaplanMeier(nil)
	require.NoError(t, err)
	assert.Empty(t, none)
}

// TestEmptiedEarly: once all in view have ended the estimate stays at 0, as
// the doc comment warns, and nothing is NaN but the standard error.
func TestEmptiedEarly(t *testing.T) {
	steps, err := KaplanMeier([]Unit{{Exit: 2, Ended: true}, {Entry: 5, Exit: 9, Ended: true}, {Entry: 5, Exit: 12}})
	require.NoError(t, err)
	require.Len(t, steps, 3)
	for _, s := range steps {
		assert.Zero(t, s.Survival)
		assert.True(t, math.IsNaN(s.SE))
	}
	assert.Equal(t, []int{1, 2, 1}, []int{steps[0].AtRisk, steps[1].AtRisk, steps[2].AtRisk})
}
