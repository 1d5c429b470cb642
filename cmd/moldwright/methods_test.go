package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline"
)

// methodsPage is pipeline/METHODS.md.
func methodsPage(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "pipeline", "METHODS.md"))
	require.NoError(t, err)
	return string(text)
}

// TestTheMethodsPageQuotesTheDefaults holds that the figures on the page are
// those that a run without options uses.
func TestTheMethodsPageQuotesTheDefaults(t *testing.T) {
	page := methodsPage(t)
	set := pipeline.Defaults()
	for _, said := range []string{
		fmt.Sprintf("Below %d usable casts nothing is fitted", set.Wall.LeastCasts),
		fmt.Sprintf("median of the last %d", set.Wall.UsualDwellOf),
		fmt.Sprintf("is told by %s points of its law", thousands(set.Life.Draws)),
		fmt.Sprintf("Beyond %s casts, wear, habits and rejects are learned from", thousands(set.Life.LearnCasts)),
		fmt.Sprintf("(beyond %s casts: to about so many", thousands(set.Hindcast.LearnCasts)),
		fmt.Sprintf("its chance exceeds %.0f %%", 100*set.Life.FaultLimit),
		fmt.Sprintf("At up to %d past dates", set.Hindcast.Origins),
		fmt.Sprintf("With %d scored forecasts or more, and a share more than %.0f standard errors off", set.Hindcast.LeastScored, set.Hindcast.Doubt),
		fmt.Sprintf("no more than once in %.0f casts", set.Watch.InControlRun),
		fmt.Sprintf("S = max(0, S − z − %.1f)", set.Watch.Reference),
		fmt.Sprintf("drawing %s casts of healthy molds", thousands(set.Watch.RehearsedCasts)),
		fmt.Sprintf("exceeds %.1f times its kind's", set.Watch.FastWear),
		"for three times the usual share",
		fmt.Sprintf("V = C/100/%.3f + 1/%.2f", set.Plaster.WaterDensity, set.Plaster.PlasterDensity),
		fmt.Sprintf("Errors of %.0f mm a reading", set.Plaster.ReadingErrorMM),
		fmt.Sprintf("less the margin of %.0f mm", set.Plaster.SawMarginMM),
		fmt.Sprintf("played through day by day, %s times", thousands(set.Plan.Draws)),
		fmt.Sprintf("the chance reaches %.0f %%", 100*set.Plan.Goal),
	} {
		require.True(t, strings.Contains(page, said), "the page does not say %q", said)
	}
	require.Equal(t, 3.0, set.Watch.RejectRise)
}

func thousands(n int) string { return fmt.Sprintf("%d,%03d", n/1000, n%1000) }

// TestEverySectionOfTheMethodsSaysWhatItDoesNotSay holds the page to its promise,
// and to folders that there are.
func TestEverySectionOfTheMethodsSaysWhatItDoesNotSay(t *testing.T) {
	sections := strings.Split(methodsPage(t), "\n## ")[1:]
	require.Greater(t, len(sections), 10)
	folder := regexp.MustCompile("`([a-z/]+)`")
	for _, s := range sections[:len(sections)-1] {
		title, _, _ := strings.Cut(s, "\n")
		require.True(t, strings.Contains(s, "*It does not say*"), title)
		named := folder.FindAllStringSubmatch(title, -1)
		require.NotEmpty(t, named, title)
		for _, m := range named {
			require.DirExists(t, filepath.Join("..", "..", "pipeline", filepath.FromSlash(m[1])), title)
		}
	}
}
