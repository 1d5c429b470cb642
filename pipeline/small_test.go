package pipeline_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/wall"
)

const smallForms = "form,target_wall,wall_tolerance,longest_dwell\nmug,4.0 mm,0.5 mm,20 min\n"

// small runs a studio of hand-written sheets.
func small(t *testing.T, molds, casts string) pipeline.Result {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{"molds.csv": molds, "forms.csv": smallForms, "casts.csv": casts} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	sources, err := ingest.Find([]string{dir})
	require.NoError(t, err)
	res, err := pipeline.Run(context.Background(), sources, pipeline.Defaults(), nil)
	require.NoError(t, err)
	t.Cleanup(res.Studio.Release)
	require.Empty(t, res.Life.WhyNot)
	for _, r := range res.Life.Remaining {
		require.GreaterOrEqual(t, r.RemainingP10, 1.0)
		require.LessOrEqual(t, r.RemainingP10, r.RemainingP50)
		require.Less(t, r.RemainingP50, r.RemainingP90)
		require.Less(t, r.RemainingP90, 120.0)
		require.InDelta(t, 1, r.ChanceSlow+r.ChanceWorn+r.ChanceFaults, 1e-9)
	}
	return res
}

// readings are walls of a mold that wears by so much a cast: made up, near
// L² = 1.3·t at a dwell of 13 min.
func readings(mold string, casts int, first string) string {
	var b strings.Builder
	off := []float64{0, 0.1, -0.1, 0, 0.1, -0.1, 0, -0.1, 0.1}
	for n := range casts {
		fmt.Fprintf(&b, "%s-%02d,%s,13 min,%.1f mm\n", first, n+1, mold, 4.1-0.01*float64(n)+off[n%len(off)])
	}
	return b.String()
}

const castsHead = "date,mold,dwell,wall\n"

// No mold has ended: lives are common practice, and the answer says so.
func TestAStudioWithoutAnEndedMold(t *testing.T) {
	res := small(t, "mold,form,kind\nA,mug,split\nB,mug,split\nC,mug,split\n",
		castsHead+readings("A", 20, "2025-01")+readings("B", 15, "2025-02")+readings("C", 10, "2025-03"))
	require.Len(t, res.Life.Remaining, 3)
	for _, r := range res.Life.Remaining {
		require.Contains(t, r.Basis, "common practice for lives (no ended split mold yet)")
		require.Contains(t, r.Basis, "its own wall path")
	}
	require.EqualValues(t, 0, res.Life.Fits[0].Ended)
	// All dwells are alike, which tells nothing of how walls grow with dwell: the
	// parabolic law does, and by it 20 min leave a fifth of the wall to be lost.
	require.Equal(t, wall.Parabolic, res.Wall.Chosen)
	for _, r := range res.Life.Remaining {
		require.Less(t, r.ChancePastLimit, 0.01)
	}
	require.Contains(t, strings.Join(res.Life.Notes, "\n"), "common practice (split: 20 to 50 casts; conventional: about 100; no source)")
	// The youngest has most casts before it.
	require.Greater(t, res.Life.Remaining[2].RemainingP50, res.Life.Remaining[0].RemainingP50)
}

// A single mold: nothing tells how molds differ, so its path is the wall model's
// own, and its life common practice.
func TestAStudioWithASingleMold(t *testing.T) {
	res := small(t, "mold,form,kind\nA,mug,split\n", castsHead+readings("A", 25, "2025-01"))
	require.Len(t, res.Life.Remaining, 1)
	r := res.Life.Remaining[0]
	require.Contains(t, r.Basis, "its own wall path; common practice for lives")
	require.Greater(t, r.ChanceSlow+r.ChanceWorn, 0.9)
	require.False(t, res.Life.Wandering, "one mold does not tell")
}

// Two casts a mold: no mold's own wear can be told, so it is its kind's.
func TestAStudioWithTwoCastsAMold(t *testing.T) {
	casts := castsHead
	molds := "mold,form,kind\n"
	for i := range 6 {
		name := fmt.Sprintf("M%d", i)
		molds += name + ",mug,split\n"
		casts += readings(name, 2, fmt.Sprintf("2025-%02d", i+1))
	}
	res := small(t, molds, casts)
	require.Len(t, res.Life.Remaining, 6)
	for _, r := range res.Life.Remaining {
		require.Contains(t, r.Basis, "its few walls, and the wear of others of its form and kind; common practice for lives")
		// A split mold makes 20 to 50 casts (common practice, no source).
		require.Greater(t, r.RemainingP50, 8.0)
		require.Less(t, r.RemainingP50, 50.0)
	}
	require.NotEmpty(t, res.Hindcast.WhyNot, "nothing can be replayed, and it is said")
}
