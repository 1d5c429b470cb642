package wander

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// Passage and FirstPassage, which follows a path age by age, draw from one law: of
// limits near and far, drifts towards them, none and away. The shares that have
// passed by each of several ages agree within chance (4 standard errors) and 0.4
// percentage points, which is how good Siegmund's correction is.
func TestPassageDrawsFromTheLawOfFirstPassage(t *testing.T) {
	const draws, last = 20_000, 400
	rng := rand.New(rand.NewPCG(8, 1))
	for _, drift := range []float64{0.3, 0.05, 0, -0.05} {
		for _, limit := range []float64{0.01, 0.5, 1.5, 2.9, 3.1, 6, 20} {
			passed := func(pass func(Path) (float64, bool)) []float64 {
				ages := make([]float64, draws)
				for i := range ages {
					ages[i] = math.Inf(1)
					if age, ok := pass(Path{Age: 7, Drift: drift, sd: 1, rng: rng}); ok {
						ages[i] = age
					}
				}
				slices.Sort(ages)
				return ages
			}
			fast := passed(func(p Path) (float64, bool) { return p.Passage(limit, last) })
			slow := passed(func(p Path) (float64, bool) {
				return p.FirstPassage(func(float64) float64 { return limit }, Above, last)
			})
			for _, by := range []float64{8, 9, 12, 20, 50, 100, 399} {
				at := func(ages []float64) float64 {
					n, _ := slices.BinarySearch(ages, by+0.5)
					return float64(n) / draws
				}
				want, got := at(slow), at(fast)
				require.InDelta(t, want, got, 0.004+4*math.Sqrt(2*want*(1-want)/draws), "drift %g, limit %g, by age %g", drift, limit, by)
			}
		}
	}
}

// Straight paths, by the definition.
func TestPassageOfStraightPaths(t *testing.T) {
	for _, c := range []struct{ age, level, drift, last, want float64 }{
		{3, -1, 0.25, 100, 8}, {3, -1, 0.3, 100, 7}, {3, 1, 0.3, 100, 3}, {3, -1, 0.25, 7, 7}, {3, -1, 0, 50, 50}, {3, -1, -1, 50, 50}, {3.5, -1, 0.25, 50, 8},
	} {
		p := Path{Age: c.age, Level: c.level, Drift: c.drift}
		got, ok := p.Passage(0, c.last)
		want, crossed := p.FirstPassage(func(float64) float64 { return 0 }, Above, c.last)
		require.Equal(t, c.want, got)
		require.Equal(t, want, got)
		require.Equal(t, crossed, ok)
	}
}

// The inverse Gaussian law's mean is distance/drift, its variance distance·sd²/drift³;
// without a drift the time is below t with chance 2(1 − Φ(distance/√t)); with one away
// it is finite with chance exp(−2·distance·|drift|/sd²).
func TestTimesOfPassage(t *testing.T) {
	const draws = 200_000
	rng := rand.New(rand.NewPCG(8, 2))
	var sum, squares float64
	for range draws {
		x := inverseGaussian(6, 0.5, 1.5, rng)
		sum += x
		squares += x * x
	}
	mean := sum / draws
	require.InEpsilon(t, 12, mean, 0.01)
	require.InEpsilon(t, 6*2.25/0.125, squares/draws-mean*mean, 0.04)
	early, finite := 0.0, 0.0
	for range draws {
		if inverseGaussian(6, 0, 1, rng) < 50 {
			early++
		}
		if !math.IsInf(inverseGaussian(2, -0.3, 1, rng), 1) {
			finite++
		}
	}
	require.InDelta(t, 2*(1-distuv.UnitNormal.CDF(6/math.Sqrt(50))), early/draws, 0.005)
	require.InDelta(t, math.Exp(-1.2), finite/draws, 0.005)
}

// A sample spreads as single draws do, with means that are nearer the truth.
func TestASampleIsMoreEvenThanDraws(t *testing.T) {
	m, err := Fit(simulated(20, 30, 0.3, 0.01, 0.2, 0.02, 1), Options{})
	require.NoError(t, err)
	f := m.Forecast(3)
	s := f.State()
	rng := rand.New(rand.NewPCG(8, 3))
	of := func(paths []Path) (level, drift, spread float64) {
		n := float64(len(paths))
		for _, p := range paths {
			level += p.Level / n
			drift += p.Drift / n
		}
		for _, p := range paths {
			spread += (p.Level - level) * (p.Level - level) / n
		}
		return level, drift, math.Sqrt(spread)
	}
	var single []Path
	for range 20_000 {
		single = append(single, f.Draw(rng))
	}
	level, drift, spread := of(single)
	sd := math.Sqrt(s.Cov[0][0])
	require.InDelta(t, s.Level, level, 0.04*sd)
	require.InEpsilon(t, sd, spread, 0.03)
	var off float64
	for range 50 {
		l, d, w := of(f.Sample(400, rng))
		off += (l - s.Level) * (l - s.Level) / 50
		require.InDelta(t, s.Drift, d, 0.1*math.Sqrt(s.Cov[1][1]))
		require.InEpsilon(t, sd, w, 0.1)
	}
	require.Less(t, math.Sqrt(off), 0.3*sd/math.Sqrt(400), "400 single draws have a standard error of sd/20")
	require.InDelta(t, drift, s.Drift, 0.04*math.Sqrt(s.Cov[1][1]))
}

// A unit that was not in the fit is forecast as one that was, by the same model.
func TestAUnitOutsideTheFitIsForecastAlike(t *testing.T) {
	units := simulated(20, 30, 0.3, 0.01, 0.2, 0.02, 1)
	m, err := Fit(units, Options{})
	require.NoError(t, err)
	laws := []DriftLaw{{Mean: 0.05, SD: 0.02, Chance: 0.8}, {Mean: 0.1, SD: 0.02, Chance: 0.2}}
	for i := range 4 {
		got, err := m.ForecastUnitAs(units[i], laws)
		require.NoError(t, err)
		require.Equal(t, m.ForecastAs(i, laws), got)
	}
	_, err = m.ForecastUnitAs(Unit{Ages: []float64{2, 1}, Values: []float64{0, 0}, Level: []float64{1, 0}, Drift: []float64{1, 0}}, laws)
	require.ErrorContains(t, err, "sort them")
}
