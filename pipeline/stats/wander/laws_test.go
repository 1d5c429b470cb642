package wander

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
)

// sureOf is a fit whose means and spreads are all but given.
func sureOf(t *testing.T, units []Unit, noise, q, levelSD, driftSD, level, drift float64) *Model {
	t.Helper()
	sure := func(m float64) LogNormal { return LogNormal{Median: m, SDLog: 1e-4} }
	m, err := Fit(units, Options{
		Priors:     Priors{Noise: sure(noise), Diffusion: sure(math.Sqrt(q)), LevelSD: sure(levelSD), DriftSD: sure(driftSD)},
		LevelMeans: []Normal{{level, 1e-5}}, DriftMeans: []Normal{{drift, 1e-6}}, Points: 8,
	})
	require.NoError(t, err)
	return m
}

// A forecast by one law, that across units, is the forecast.
func TestOneLawIsTheFittedOne(t *testing.T) {
	units := []Unit{{Ages: []float64{1, 2, 5, 9}, Values: []float64{3.2, 3.1, 3.6, 4}}, {Ages: []float64{2, 3}, Values: []float64{2.9, 3.3}}, {}}
	m := sureOf(t, units, 0.3, 0.02, 0.2, 0.03, 3, 0.1)
	for i := range units {
		want, got := m.Unit(i), m.ForecastAs(i, []DriftLaw{{Mean: 0.1, SD: 0.03, Chance: 1}}).State()
		require.InEpsilon(t, want.Level, got.Level, 1e-3)
		require.InEpsilon(t, want.Drift, got.Drift, 1e-3)
		for a := range 2 {
			for b := range 2 {
				require.InDelta(t, want.Cov[a][b], got.Cov[a][b], 2e-2*math.Sqrt(want.Cov[a][a]*want.Cov[b][b]))
			}
		}
	}
}

// With two laws, each counts by its chance times the density of the readings
// under it: written out with dense matrices.
func TestReadingsTellBetweenLaws(t *testing.T) {
	const noise, q, levelSD, level = 0.3, 0.02, 0.2, 3.0
	u := Unit{Ages: []float64{1, 2, 5, 9}, Values: []float64{3.2, 3.1, 3.9, 4.9}}
	m := sureOf(t, []Unit{u, {Ages: []float64{1, 4}, Values: []float64{3.1, 3.3}}}, noise, q, levelSD, 0.03, level, 0.1)
	laws := []DriftLaw{{Mean: 0.1, SD: 0.03, Chance: 0.8}, {Mean: 0.25, SD: 0.05, Chance: 0.2}}
	density := func(l DriftLaw) float64 {
		n := len(u.Ages)
		mean, cov := make([]float64, n), mat.NewSymDense(n, nil)
		for i, x := range u.Ages {
			mean[i] = level + l.Mean*x
			for j := i; j < n; j++ {
				y := u.Ages[j]
				v := levelSD*levelSD + l.SD*l.SD*x*y + q*math.Min(x, y)
				if i == j {
					v += noise * noise
				}
				cov.SetSym(i, j, v)
			}
		}
		law, ok := distmv.NewNormal(mean, cov, nil)
		require.True(t, ok)
		return law.Prob(u.Values)
	}
	a, b := laws[0].Chance*density(laws[0]), laws[1].Chance*density(laws[1])
	share := b / (a + b)
	require.Greater(t, share, 0.1)
	require.Less(t, share, 0.9)
	one, two := m.ForecastAs(0, laws[:1]).State(), m.ForecastAs(0, laws[1:]).State()
	both := m.ForecastAs(0, laws).State()
	require.InDelta(t, (1-share)*one.Drift+share*two.Drift, both.Drift, 3e-3)
	require.InDelta(t, (1-share)*one.Level+share*two.Level, both.Level, 3e-3) // spreads are carried as no surer than 2 %
	d := two.Drift - one.Drift
	require.InEpsilon(t, (1-share)*one.Cov[1][1]+share*two.Cov[1][1]+share*(1-share)*d*d, both.Cov[1][1], 1e-2)
}

// The level at age 0 of drawn paths is what smoothing the readings says: with
// straight paths and hardly any noise, the line's own.
func TestPathsKnowWhereTheyBegan(t *testing.T) {
	line := func(level, drift float64) Unit {
		u := Unit{}
		for n := range 12 {
			u.Ages = append(u.Ages, float64(n+3))
			u.Values = append(u.Values, level+drift*float64(n+3)+0.001*float64(n%3-1))
		}
		return u
	}
	m, err := Fit([]Unit{line(1, 0.2), line(1.4, 0.1), line(0.7, 0.15)}, Options{Course: Straight})
	require.NoError(t, err)
	f := m.Forecast(1)
	rng := rand.New(rand.NewPCG(1, 1))
	for range 50 {
		p := f.Draw(rng)
		require.InDelta(t, 1.4, p.Start, 0.01)
		require.InDelta(t, p.Start+p.Drift*p.Age, p.Level, 1e-9)
		p.To(30)
		require.InDelta(t, 1.4, p.Start, 0.01)
	}
}
