package wander

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Straight paths are the linear mixed model with independent level and drift:
// values of lme4 (testdata/wander/dense.R) on the sleepstudy data (Belenky et
// al. 2003).
func TestStraightPathsAreTheMixedModel(t *testing.T) {
	want := references(t)
	for tag, criterion := range map[string]Criterion{"reml": REML, "ml": ML} {
		m, err := Fit(sleepstudy(t), Options{Course: Straight, Criterion: criterion})
		require.NoError(t, err)
		at := func(name string) float64 { return want["sleepstudy."+tag+"."+name] }
		require.InDelta(t, at("criterion"), -2*m.LogLik, 1e-6)
		require.InEpsilon(t, at("level_sd"), m.LevelSD, 1e-5)
		require.InEpsilon(t, at("drift_sd"), m.DriftSD, 1e-5)
		require.InEpsilon(t, at("noise"), m.Noise, 1e-5)
		require.InEpsilon(t, at("level"), m.Level[0].Estimate, 1e-8)
		require.InEpsilon(t, at("drift"), m.Drift[0].Estimate, 1e-8)
		require.InEpsilon(t, at("level_se"), m.Level[0].StdErr, 1e-5)
		require.InEpsilon(t, at("drift_se"), m.Drift[0].StdErr, 1e-5)
		require.Zero(t, m.Diffusion)
	}
}

// With level and drift correlated: Bates, Mächler, Bolker & Walker (2015),
// J. Stat. Softw. 67(1), model fm1 (digits by lme4 1.1-31).
func TestCorrelatedStraightPaths(t *testing.T) {
	m, err := Fit(sleepstudy(t), Options{Course: Straight, Spreads: Correlated})
	require.NoError(t, err)
	require.InDelta(t, 1743.62827195849, -2*m.LogLik, 1e-6)
	require.InEpsilon(t, 24.7404476166998, m.LevelSD, 1e-4)
	require.InEpsilon(t, 5.92213325957914, m.DriftSD, 1e-4)
	require.InEpsilon(t, 25.5918158926241, m.Noise, 1e-5)
	require.InDelta(t, 0.0655513428534642, m.Correlation, 1e-4)
	require.InEpsilon(t, 6.82455577627583, m.Level[0].StdErr, 1e-4)
}

// Wandering paths against dense covariance matrices in R, on readings at
// irregular ages; the spread of drifts is 0 there.
func TestWanderingPathsAgainstDenseMatrices(t *testing.T) {
	want := references(t)
	for tag, criterion := range map[string]Criterion{"reml": REML, "ml": ML} {
		p, err := newProblem(uneven(t), Options{Criterion: criterion})
		require.NoError(t, err)
		size := p.sizes()
		x := spread{math.Log(20 / size[0]), math.Log(math.Sqrt(60) / size[1]), math.Log(25 / size[2]), math.Log(6 / size[3])}
		s := x.shape()
		sol, ok := p.solve(&s, criterion)
		require.True(t, ok)
		require.InDelta(t, want["uneven.given."+tag], sol.criterion, 1e-8)

		m, err := Fit(uneven(t), Options{Criterion: criterion})
		require.NoError(t, err)
		at := func(name string) float64 { return want["uneven."+tag+"."+name] }
		require.InDelta(t, at("criterion"), -2*m.LogLik, 1e-6)
		require.InEpsilon(t, at("noise"), m.Noise, 1e-4)
		require.InEpsilon(t, at("diffusion"), m.Diffusion, 1e-4)
		require.InEpsilon(t, at("level_sd"), m.LevelSD, 1e-4)
		require.Zero(t, m.DriftSD)
		require.InEpsilon(t, at("level"), m.Level[0].Estimate, 1e-6)
		require.InEpsilon(t, at("drift"), m.Drift[0].Estimate, 1e-6)
	}
}
