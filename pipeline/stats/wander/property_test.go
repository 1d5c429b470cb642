package wander

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// Units of age and value, and lines added to all paths, change the answers as
// they must and nothing else.
func TestScalesAndLinesDoNotMatter(t *testing.T) {
	units := simulated(12, 10, 0.3, 0.02, 0.3, 0.02, 5)
	m, err := Fit(units, Options{})
	require.NoError(t, err)
	const by, over, up, tilt = 40.0, 7.0, 1e4, 3.0
	moved := slices.Clone(units)
	for i := range moved {
		u := Unit{Level: units[i].Level, Drift: units[i].Drift}
		for j, age := range units[i].Ages {
			u.Ages = append(u.Ages, over*age)
			u.Values = append(u.Values, by*units[i].Values[j]+up+tilt*over*age)
		}
		moved[i] = u
	}
	k, err := Fit(moved, Options{})
	require.NoError(t, err)
	require.InEpsilon(t, by*m.Noise, k.Noise, 1e-4)
	require.InEpsilon(t, by*by/over*m.Diffusion, k.Diffusion, 1e-4)
	require.InEpsilon(t, by*m.LevelSD, k.LevelSD, 1e-3)
	require.InEpsilon(t, by/over*m.Drift[0].Estimate+tilt, k.Drift[0].Estimate, 1e-6)
	a, b := m.Unit(3), k.Unit(3)
	require.InEpsilon(t, by*a.Level+up+tilt*b.Age, b.Level, 1e-6)
	require.InEpsilon(t, by*math.Sqrt(a.Cov[0][0]), math.Sqrt(b.Cov[0][0]), 1e-2)
}

func TestDrawsHaveTheStatesMoments(t *testing.T) {
	m, err := Fit(simulated(10, 8, 0.3, 0.02, 0.3, 0.02, 6), Options{})
	require.NoError(t, err)
	f := m.Forecast(2)
	s := f.State()
	const n = 40_000
	var level, drift, square float64
	rng := rand.New(rand.NewPCG(1, 1))
	for range n {
		p := f.Draw(rng)
		level += p.Level / n
		drift += p.Drift / n
		square += (p.Level - s.Level) * (p.Level - s.Level) / n
	}
	require.InDelta(t, s.Level, level, 0.01)
	require.InDelta(t, s.Drift, drift, 0.001)
	require.InEpsilon(t, s.Cov[0][0], square, 0.05)
	require.Equal(t, m.Unit(2), s)

	a, b := f.Draw(rand.New(rand.NewPCG(3, 3))), f.Draw(rand.New(rand.NewPCG(3, 3)))
	for range 10 {
		require.Equal(t, a.Next(), b.Next())
	}
}

// First passages of a Wiener path with drift follow the inverse Gaussian law
// (Schrödinger 1915; Tweedie 1957). Looking at whole ages only is like a limit
// 0.5826 √q higher (Broadie, Glasserman & Kou 1997, Math. Finance 7).
func TestFirstPassagesAreInverseGaussian(t *testing.T) {
	const drift, q, limit, n = 0.05, 0.01, 5.0, 20_000
	high := limit + 0.5826*math.Sqrt(q)
	cdf := func(x float64) float64 {
		s := math.Sqrt(q * x)
		return distuv.UnitNormal.CDF((drift*x-high)/s) + math.Exp(2*drift*high/q)*distuv.UnitNormal.CDF(-(drift*x+high)/s)
	}
	rng := rand.New(rand.NewPCG(2, 1))
	ages := make([]float64, n)
	mirrored := 0
	for i := range ages {
		p := Path{Drift: drift, sd: math.Sqrt(q), rng: rng}
		age, crossed := p.FirstPassage(func(float64) float64 { return limit }, Above, 2000)
		require.True(t, crossed)
		ages[i] = age
		down := Path{Drift: -drift, sd: math.Sqrt(q), rng: rng}
		if age, crossed := down.FirstPassage(func(float64) float64 { return -limit }, Below, 100); crossed && age <= 100 {
			mirrored++
		}
	}
	slices.Sort(ages)
	for _, x := range []float64{70, 85, 100, 120, 150} {
		k, _ := slices.BinarySearch(ages, x+0.5)
		require.InDelta(t, cdf(x), float64(k)/n, 0.012, "age %g", x)
	}
	require.InDelta(t, cdf(100), float64(mirrored)/n, 0.012)
}

func TestPassageOfMovingLimits(t *testing.T) {
	p := Path{Age: 3, Level: 1, Drift: 1}
	age, crossed := p.FirstPassage(func(n float64) float64 { return 20 - n }, Above, 100)
	require.True(t, crossed) // 1 + (n−3) > 20 − n from n = 12 on
	require.Equal(t, 12.0, age)
	p = Path{Age: 3.5, Level: 1, Drift: 1}
	require.Equal(t, 1.5, p.Next())
	require.Equal(t, 4.0, p.Age)
	age, crossed = p.FirstPassage(func(float64) float64 { return 50 }, Above, 10)
	require.False(t, crossed)
	require.Equal(t, 10.0, age)
	age, crossed = p.FirstPassage(func(float64) float64 { return 50 }, Below, 10)
	require.True(t, crossed, "below already")
	require.Equal(t, p.Age, age)
	require.Panics(t, func() { p.To(2) })
}

// A unit without readings is forecast by what the others tell.
func TestUnitsWithoutReadings(t *testing.T) {
	units := append(simulated(10, 8, 0.3, 0.02, 0.3, 0.02, 6), Unit{Level: []float64{0, 1}, Drift: []float64{0, 1}})
	m, err := Fit(units, Options{})
	require.NoError(t, err)
	s := m.Unit(10)
	require.Zero(t, s.Age)
	require.InDelta(t, m.Level[1].Estimate, s.Level, 0.05)
	require.Greater(t, s.Cov[0][0], m.LevelSD*m.LevelSD, "the mean's own uncertainty comes on top")
}

// Without one reading, beliefs in everything give an answer; without a belief it
// is an error that says so.
func TestBeliefsAlone(t *testing.T) {
	opt := Options{
		Priors: Priors{
			Noise: LogNormal{0.03, 0.5}, Diffusion: LogNormal{0.01, 0.5}, LevelSD: LogNormal{0.05, 0.5}, DriftSD: LogNormal{0.002, 0.5},
		},
		LevelMeans: []Normal{{1, 0.1}}, DriftMeans: []Normal{{-0.01, 0.005}},
	}
	m, err := Fit([]Unit{{}, {}}, opt)
	require.NoError(t, err)
	require.InEpsilon(t, 0.03, m.Noise, 1e-3)
	require.InEpsilon(t, 0.01, math.Sqrt(m.Diffusion), 1e-3)
	s := m.Unit(0)
	require.InDelta(t, 1, s.Level, 1e-9)
	require.InDelta(t, -0.01, s.Drift, 1e-9)
	// 0.1² of the mean and E s_a² = 0.05² exp(2·0.5²).
	require.InEpsilon(t, 0.01+0.0025*math.Exp(0.5), s.Cov[0][0], 0.05)
	_, err = Fit([]Unit{{}}, Options{})
	require.ErrorContains(t, err, "belief")
	opt.LevelMeans = nil
	_, err = Fit([]Unit{{}}, opt)
	require.ErrorContains(t, err, "belief")
}

func TestBadReadingsAreErrors(t *testing.T) {
	good := Unit{Ages: []float64{1, 2, 4}, Values: []float64{1, 2.5, 3}}
	for _, u := range []Unit{
		{Ages: []float64{2, 1}, Values: []float64{1, 2}},
		{Ages: []float64{-1}, Values: []float64{1}},
		{Ages: []float64{math.NaN()}, Values: []float64{1}},
		{Ages: []float64{1}, Values: []float64{math.Inf(1)}},
		{Ages: []float64{1}, Values: []float64{1}, Weights: []float64{0}},
	} {
		_, err := Fit([]Unit{good, u}, Options{})
		require.ErrorContains(t, err, "unit 2 of 2")
	}
	require.Panics(t, func() { _, _ = Fit([]Unit{{Ages: []float64{1}}}, Options{}) })
	_, err := Fit(nil, Options{})
	require.Error(t, err)
	_, err = Fit([]Unit{{Ages: []float64{1, 2, 3}, Values: []float64{5, 5, 5}}}, Options{})
	require.ErrorContains(t, err, "belief")
	_, err = Fit([]Unit{{Ages: []float64{2}, Values: []float64{5}}}, Options{})
	require.Error(t, err)
}

// The readings choose the course. AICc takes wandering for straight paths in
// some 8 of 100 sets where a variance is 0 (half a χ² beyond 2).
func TestChoose(t *testing.T) {
	wandering := 0
	for seed := range uint64(60) {
		c, err := Choose(simulated(20, 15, 0.3, 0, 0.3, 0.02, 100+seed), Options{Points: 4})
		require.NoError(t, err)
		if c.Best() == c.Wandering {
			wandering++
		}
	}
	require.LessOrEqual(t, wandering, 12)
	for seed := range uint64(5) {
		c, err := Choose(simulated(20, 15, 0.1, 0.04, 0.3, 0.02, seed), Options{})
		require.NoError(t, err)
		require.True(t, c.Best() == c.Wandering)
		require.Greater(t, c.Gain, 10.0)
		require.InEpsilon(t, 0.04, c.Wandering.Diffusion, 0.4)
	}
}

// Paths that are exactly straight, each its own line, leave next to no noise.
func TestExactLines(t *testing.T) {
	var units []Unit
	for i := range 5 {
		u := Unit{Ages: []float64{1, 2, 3, 4}}
		for _, age := range u.Ages {
			u.Values = append(u.Values, float64(i)+age*(1+0.1*float64(i*i)))
		}
		units = append(units, u)
	}
	c, err := Choose(units, Options{})
	require.NoError(t, err)
	for _, m := range []*Model{c.Straight, c.Wandering} {
		s := m.Unit(2)
		require.InDelta(t, units[2].Values[3], s.Level, 0.01)
		require.False(t, math.IsNaN(s.Cov[0][0]+s.Cov[1][1]+m.LogLik))
	}
}

// With few units and readings, intervals of the level eight ages later hold as
// often as they say: they know how little is known.
func TestFewUnitsGiveWideIntervals(t *testing.T) {
	for _, size := range []struct{ units, readings int }{{3, 5}, {6, 6}, {15, 8}} {
		held, asked := 0, 0
		rng := rand.New(rand.NewPCG(uint64(size.units), 9))
		for set := range 100 {
			units := make([]Unit, size.units)
			truths := make([]float64, size.units)
			for i := range units {
				level, drift, age := rng.NormFloat64(), 0.3+0.1*rng.NormFloat64(), 0.0
				for range size.readings {
					age++
					level += drift + 0.3*rng.NormFloat64()
					units[i].Ages = append(units[i].Ages, age)
					units[i].Values = append(units[i].Values, level+0.3*rng.NormFloat64())
				}
				for range 8 {
					level += drift + 0.3*rng.NormFloat64()
				}
				truths[i] = level
			}
			m, err := Fit(units, Options{})
			require.NoError(t, err)
			draws := rand.New(rand.NewPCG(uint64(set), 2))
			for i := range units {
				f := m.Forecast(i)
				const n = 300
				at := make([]float64, n)
				for k := range at {
					p := f.Draw(draws)
					at[k] = p.To(p.Age + 8)
				}
				slices.Sort(at)
				asked++
				if truths[i] >= at[n/10] && truths[i] <= at[n-n/10-1] {
					held++
				}
			}
		}
		share := float64(held) / float64(asked)
		t.Logf("%d units of %d readings: 80 %% intervals held %.1f %% of %d", size.units, size.readings, 100*share, asked)
		require.InDelta(t, 0.8, share, 0.07)
	}
}
