package charts

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline"
)

// TestChartsOfADrawingAreThoseOfDraw asks for single charts while the others are still
// drawn: they come in the order and with the bytes that all of them together have.
func TestChartsOfADrawingAreThoseOfDraw(t *testing.T) {
	all, err := DrawPlan(sample())
	require.NoError(t, err)
	require.Len(t, all, 2)
	d, err := BeginPlan(sample())
	require.NoError(t, err)
	last := d.Of(func(name, section string) bool { return name == all[1].Name && section == SectionPlan })
	require.Equal(t, all[1:], last)
	require.Equal(t, all, d.Of(func(string, string) bool { return true }))
	require.Equal(t, all, Drawn(all).Of(func(string, string) bool { return true }))
	require.Empty(t, d.Of(func(name, _ string) bool { return name == "none" }))
}

// TestAPanicOfAChartReachesWhoWaits: no one waits for ever for a chart that fails.
func TestAPanicOfAChartReachesWhoWaits(t *testing.T) {
	d, err := begun(sample(), func(s style, res pipeline.Result) []figure {
		return []figure{{name: "bodiless"}}
	})
	require.NoError(t, err)
	require.Empty(t, d.Of(func(string, string) bool { return true }))
	require.Panics(t, func() { _, _ = d.All() })
}

// TestChosenChartsAreThoseOfDraw draws two of the run plan's charts by name, in another
// order, beside a name that no chart has.
func TestChosenChartsAreThoseOfDraw(t *testing.T) {
	all, err := DrawPlan(sample())
	require.NoError(t, err)
	d, err := BeginPictures(sample(), all[1].Name, "none", all[0].Name)
	require.NoError(t, err)
	chosen, err := d.All()
	require.NoError(t, err)
	for i := range all {
		all[i].SVG = nil
	}
	require.Equal(t, all, chosen)
}
