package wall

import (
	"fmt"
	"maps"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/fixtures/invented"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/tables"
)

// same holds that two are alike to the last digit, numbers that are absent too.
func same(t *testing.T, a, b any) {
	t.Helper()
	require.True(t, fmt.Sprint(a) == fmt.Sprint(b))
}

// The check value is the fit with the bound off: all casts in one design.
func TestALogOfWhichAPartIsLearnedFromGivesTheSame(t *testing.T) {
	log, studio := invented.Log(8000, 2)
	set := Defaults()
	whole := Run(log, studio, set)
	require.Zero(t, whole.Learned)
	set.Learn = 3000
	part := Run(log, studio, set)
	require.InDelta(t, 3000, part.Learned, 150)
	require.Equal(t, whole.Casts, part.Casts)
	require.Equal(t, whole.Chosen, part.Chosen)

	terms := func(a Answer) map[string]tables.WallFit {
		out := map[string]tables.WallFit{}
		for _, w := range a.Terms {
			if w.Model == a.Chosen+" (chosen)" {
				out[w.Term] = w
			}
		}
		return out
	}
	mine, theirs := terms(part), terms(whole)
	require.Equal(t, slices.Sorted(maps.Keys(theirs)), slices.Sorted(maps.Keys(mine)))
	for term, w := range theirs {
		p := mine[term]
		if !tables.Has(w.StdError) || strings.Contains(term, wetTerm) {
			require.InEpsilon(t, w.Estimate, p.Estimate, 0.5, term) // the drying time is that of the part, and wetness depends on it
			continue
		}
		require.InDelta(t, w.Estimate, p.Estimate, w.StdError, term)
		require.InEpsilon(t, w.StdError, p.StdError, 0.1, term)
	}
	require.Equal(t, len(whole.States), len(part.States))
	for i, s := range whole.States {
		p := part.States[i]
		if tables.Has(s.NextWallMM) {
			half := (s.NextWallUpper90 - s.NextWallLower90) / 2
			require.InDelta(t, s.NextWallMM, p.NextWallMM, 0.1*half, s.Mold)
			require.InDelta(t, half, (p.NextWallUpper90-p.NextWallLower90)/2, 0.1*half, s.Mold)
		}
	}
	require.Equal(t, len(whole.Guide), len(part.Guide))
	n := 0
	for u := range part.AllUsed() {
		w := whole.Used[n]
		require.Equal(t, w.Row, u.Row)
		require.Equal(t, w.Mold, u.Mold)
		require.InEpsilon(t, w.FittedMM, u.FittedMM, 0.02)
		require.InDelta(t, w.ResidualZ, u.ResidualZ, 0.3+0.05*math.Abs(w.ResidualZ))
		n++
	}
	require.Equal(t, part.Casts, n)
	for m := range log.Molds {
		a, b := whole.Posterior.Track(m), part.Posterior.Track(m)
		require.Equal(t, len(a.Casts), len(b.Casts))
		for i := range a.Casts {
			require.Equal(t, a.Casts[i].Cast, b.Casts[i].Cast)
			require.InDelta(t, a.Casts[i].Y, b.Casts[i].Y, 0.02)
		}
	}
	require.InDelta(t, len(whole.Problems), len(part.Problems), 5)
}

// What two passes over all casts find about the fit of a whole log must be that
// fit, whose estimates come from one design of all casts.
func TestTwoPassesFindTheFitOfAllCasts(t *testing.T) {
	for _, l := range laws() {
		log, studio := invented.Log(5000, 3)
		in := gather(log, studio)
		f, err := fitLaws(in)
		require.NoError(t, err)
		w := f.weights
		for i := range f.all {
			if f.all[i].law == l {
				f.best = f.all[i]
			}
		}
		w = w.by(in, f.best)
		settled, err := fitOne(in, l, f.best.design.without([]int{f.best.design.index(exponentTerm)}, ""), w.all(), start{at: &f.best}, mixed.REML)
		require.NoError(t, err)
		settled.tau = f.best.tau
		f.best, f.weights = settled, w

		walk := newFar(log, studio, in, f)
		at := walk.standAt(f.best.model, true)
		for range 2 {
			all := walk.pass(at, nil, make([]float64, len(log.Molds)))
			require.Equal(t, len(in.rows), all.used)
			model, err := walk.fit(all.blocks, at.model)
			require.NoError(t, err)
			at = walk.standAt(model, false)
		}
		for j, b := range f.best.model.Beta {
			se := f.best.model.BetaSE()[j]
			require.InDelta(t, b, at.model.Beta[j], 0.03*se, "%s: %s", l.name(), f.best.design.columns[j].term)
			require.InEpsilon(t, se, at.model.BetaSE()[j], 0.01)
		}
		require.InEpsilon(t, f.best.model.Sigma, at.model.Sigma, 0.002)
		for k := range 2 {
			require.InEpsilon(t, f.best.model.SD(k), at.model.SD(k), 0.02)
		}
	}
}

// The check value is the fit with all columns for every mold.
func TestManyFormsAreFittedAsFewAre(t *testing.T) {
	log, studio := invented.Log(2500, manyForms+2)
	in := gather(log, studio)
	require.True(t, in.lean)
	lean, err := fitLaws(in)
	require.NoError(t, err)
	in = gather(log, studio)
	in.lean = false
	wide, err := fitLaws(in)
	require.NoError(t, err)
	require.Equal(t, wide.best.law.name(), lean.best.law.name())
	require.InDelta(t, wide.best.tau, lean.best.tau, 1e-6)
	for i := range wide.all {
		require.InDelta(t, wide.all[i].aicc, lean.all[i].aicc, 1e-4)
		require.InEpsilon(t, wide.all[i].left, lean.all[i].left, 1e-4)
	}
	for j, b := range wide.best.model.Beta {
		require.InDelta(t, b, lean.best.model.Beta[j], 1e-3*wide.best.model.BetaSE()[j])
	}
}

// A bound that the log does not reach changes nothing, to the last bit.
func TestABoundAboveTheLogChangesNothing(t *testing.T) {
	log, studio := invented.Log(1500, 3)
	set := Defaults()
	set.Learn = 0
	want := Run(log, studio, set)
	set.Learn = len(log.Casts)
	got := Run(log, studio, set)
	same(t, want.Terms, got.Terms)
	same(t, want.States, got.States)
	same(t, want.Guide, got.Guide)
	same(t, want.Used, got.Used)
}

func TestALargeLogIsTheSameOnAnyNumberOfCores(t *testing.T) {
	log, studio := invented.Log(4000, 5)
	set := Defaults()
	set.Learn = 800
	set.MoldsTold, set.EndedTold, set.UsedShown, set.OddTold = 5, 4, 300, 7
	run := func(cores int) Answer {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		return Run(log, studio, set)
	}
	one, four := run(1), run(4)
	same(t, one.Terms, four.Terms)
	same(t, one.States, four.States)
	same(t, one.Used, four.Used)
	same(t, one.Problems, four.Problems)
	inUse := 0
	for _, m := range log.Molds {
		if m.InUse() {
			inUse++
		}
	}
	require.Len(t, one.States, inUse+4)
	require.Less(t, len(one.Used), 600)
	require.Len(t, one.Problems, 8, "seven, and how many more there are")
	require.Greater(t, one.Casts, 3000)
}

// What of the molds is given up after the fit of a large log comes back as it was.
func TestMoldsGivenUpAreWalkedAgain(t *testing.T) {
	log, studio := invented.Log(8000, 2)
	set := Defaults()
	set.Learn = 400
	p := Run(log, studio, set).Posterior
	require.True(t, p.far.last.alone)
	tracks := func() (out []Track) {
		for m := range log.Molds {
			out = append(out, p.Track(m))
		}
		return out
	}
	before := tracks()
	require.True(t, slices.ContainsFunc(log.Molds, func(m history.Mold) bool { return m.InUse() }))
	p.far.forget(p.fit.model, func(int) bool { return false })
	require.Equal(t, before, tracks())
}
