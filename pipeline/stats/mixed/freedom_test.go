package mixed

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Containment rule: 18 groups with a random line each leave 17 degrees of
// freedom for both ends of the mean line, and n − rank[X Z] = 180 − 36 for
// columns that are in no random effect. (What SAS PROC MIXED does, from
// memory.)
func TestContainment(t *testing.T) {
	var groups []string
	seen := map[string]bool{}
	for _, rec := range table(t, filepath.Join(testdata, "sleepstudy.csv")) {
		if g := rec["Subject"]; !seen[g] {
			seen[g] = true
			groups = append(groups, g)
		}
	}
	lines := published(t, "sleepstudy", "sleepstudy.csv", groups).fit(t, REML)
	require.Equal(t, []float64{17, 17}, lines.DF())
	require.Equal(t, 144.0, lines.ResidualDF)
	levels := published(t, "sleepstudy intercepts", "sleepstudy.csv", groups).fit(t, REML)
	require.Equal(t, []float64{17, 161}, levels.DF())
	bent := published(t, "sleepstudy quadratic", "sleepstudy.csv", groups).fit(t, REML)
	require.Equal(t, []float64{17, 17, 143}, bent.DF())
}

// Potthoff & Roy: 27 children of two sexes; sex and its slope are told by
// children only: 27 − 2 for each of the four effects.
func TestContainmentOfCovariates(t *testing.T) {
	var groups []string
	seen := map[string]bool{}
	for _, rec := range table(t, filepath.Join(testdata, "orthodont.csv")) {
		if g := rec["Subject"]; !seen[g] {
			seen[g] = true
			groups = append(groups, g)
		}
	}
	m := published(t, "orthodont by sex", "orthodont.csv", groups).fit(t, REML)
	require.Equal(t, []float64{25, 25, 25, 25}, m.DF())
	require.Equal(t, float64(108-54), m.ResidualDF)
}
