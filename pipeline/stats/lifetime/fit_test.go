package lifetime

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPublishedFits compares with R's survreg on published lives (sources in
// testdata/lifetime/SOURCES.md).
func TestPublishedFits(t *testing.T) {
	byEvent := func(row map[string]string) bool { return row["event"] == "1" }
	byMode := func(modes ...string) func(map[string]string) bool {
		return func(row map[string]string) bool { return slices.Contains(modes, row["mode"]) }
	}
	sets := map[string]func(*testing.T) []Unit{
		"lzbearing": bearings,
		"gehan6mp":  func(t *testing.T) []Unit { return gehan(t, "6-MP") },
		"shock_all": func(t *testing.T) []Unit { return fromFetched(t, "shock_absorber.csv", "km", "", byEvent) },
		"shock_Mode1": func(t *testing.T) []Unit {
			return fromFetched(t, "shock_absorber.csv", "km", "", byMode("Mode1"))
		},
		"shock_Mode2": func(t *testing.T) []Unit {
			return fromFetched(t, "shock_absorber.csv", "km", "", byMode("Mode2"))
		},
		"fan":         func(t *testing.T) []Unit { return fromFetched(t, "nelson_fan.csv", "hours", "count", byEvent) },
		"bearingcage": func(t *testing.T) []Unit { return fromFetched(t, "bearing_cage.csv", "hours", "count", byEvent) },
		"deviceg_Surge": func(t *testing.T) []Unit {
			return fromFetched(t, "device_g.csv", "kcycles", "", byMode("Surge"))
		},
		"deviceg_Wearout": func(t *testing.T) []Unit {
			return fromFetched(t, "device_g.csv", "kcycles", "", byMode("Wearout"))
		},
		"deviceg_all": func(t *testing.T) []Unit {
			return fromFetched(t, "device_g.csv", "kcycles", "", byMode("Surge", "Wearout"))
		},
	}
	reference := map[string][]map[string]string{}
	for _, row := range rows(t, filepath.Join(kept, "weibull_reference.csv")) {
		reference[row["set"]] = append(reference[row["set"]], row)
	}
	require.Len(t, reference, len(sets))
	for name, units := range sets {
		t.Run(name, func(t *testing.T) {
			fit, err := FitWeibull(units(t), Prior{})
			require.NoError(t, err)
			for _, row := range reference[name] {
				comparePublished(t, fit, row)
			}
		})
	}
}

func comparePublished(t *testing.T, fit Fit, row map[string]string) {
	t.Helper()
	want := number(t, row["value"])
	p := 0.0
	if row["p"] != "" {
		p = number(t, row["p"])
	}
	what := row["name"] + " " + row["p"]
	switch row["name"] {
	case "shape":
		close(t, want, fit.Shape, 1e-8, what)
	case "shape_se":
		close(t, want, fit.ShapeSE, 1e-6, what)
	case "scale":
		close(t, want, fit.Scale, 1e-8, what)
	case "scale_se":
		close(t, want, fit.ScaleSE, 1e-6, what)
	case "loglik":
		close(t, want, fit.LogLik, 1e-10, what)
	case "mean":
		close(t, want, fit.Mean(), 1e-8, what)
	case "cov_logscale_logsigma": // log sigma = -log shape
		assert.InDelta(t, -want, fit.CovLog[0][1], 1e-7, what)
		assert.Equal(t, fit.CovLog[0][1], fit.CovLog[1][0])
	case "quantile":
		close(t, want, fit.Quantile(p), 1e-8, what)
	case "quantile_log_se":
		tilt := math.Log(-math.Log(1-p)) / fit.Shape
		got := math.Sqrt(tilt*tilt*fit.CovLog[0][0] - 2*tilt*fit.CovLog[0][1] + fit.CovLog[1][1])
		close(t, want, got, 1e-6, what)
	case "quantile_profile_lower":
		close(t, want, fit.QuantileInterval(p, 0.95).Lower, 1e-5, what)
		if p == 0.632120558828558 {
			close(t, want, fit.ScaleInterval(0.95).Lower, 1e-5, what)
		}
	case "quantile_profile_upper":
		close(t, want, fit.QuantileInterval(p, 0.95).Upper, 1e-5, what)
		if p == 0.632120558828558 {
			close(t, want, fit.ScaleInterval(0.95).Upper, 1e-5, what)
		}
	default:
		t.Fatalf("no check for %q", row["name"])
	}
}

// TestBearingsAsPrinted holds the figures people know: shape 2.10, scale 81.9
// (Lawless 1982).
func TestBearingsAsPrinted(t *testing.T) {
	fit, err := FitWeibull(bearings(t), Prior{})
	require.NoError(t, err)
	assert.InDelta(t, 2.10, fit.Shape, 0.005)
	assert.InDelta(t, 81.9, fit.Scale, 0.05)
	assert.InDelta(t, -113.691959, fit.LogLik, 1e-6)
	assert.Equal(t, 23, fit.Ended)
	assert.Zero(t, fit.Censored)
	assert.Zero(t, fit.PriorWeight)
}

// TestLeftTruncated compares with a direct maximisation in R
// (testdata/lifetime/truncated_weibull.R); its derivatives are numerical.
func TestLeftTruncated(t *testing.T) {
	want := map[string]map[string]float64{}
	for _, row := range rows(t, filepath.Join(kept, "truncated_weibull.csv")) {
		if want[row["set"]] == nil {
			want[row["set"]] = map[string]float64{}
		}
		want[row["set"]][row["name"]] = number(t, row["value"])
	}
	sets := map[string][]Unit{
		"channing": channing(t, ""), "channing_Male": channing(t, "Male"),
		"channing_Female": channing(t, "Female"), "stanford": stanford(t),
	}
	require.Len(t, want, len(sets))
	for name, units := range sets {
		fit, err := FitWeibull(units, Prior{})
		require.NoError(t, err, name)
		r := want[name]
		close(t, r["shape"], fit.Shape, 1e-6, name+" shape")
		close(t, r["scale"], fit.Scale, 1e-6, name+" scale")
		close(t, r["loglik"], fit.LogLik, 1e-10, name+" log likelihood")
		close(t, r["shape_se"], fit.ShapeSE, 1e-4, name+" shape SE")
		close(t, r["scale_se"], fit.ScaleSE, 1e-4, name+" scale SE")
		assert.InDelta(t, r["cov_log"], fit.CovLog[0][1], 1e-4*math.Sqrt(fit.CovLog[0][0]*fit.CovLog[1][1]), name)
	}

	// Left out, truncation would pass for durability.
	blind := channing(t, "Male")
	for i := range blind {
		blind[i].Entry = 0
	}
	fit, err := FitWeibull(blind, Prior{})
	require.NoError(t, err)
	assert.Greater(t, fit.Scale, 1.05*want["channing_Male"]["scale"])
}

// TestWatchedInTwoSpells: a life cut into a censored spell and a truncated one
// is the same evidence as the whole life.
func TestWatchedInTwoSpells(t *testing.T) {
	whole, err := FitWeibull(bearings(t), Prior{})
	require.NoError(t, err)
	var cut []Unit
	for _, u := range bearings(t) {
		middle := u.Exit * 0.4
		cut = append(cut, Unit{Exit: middle}, Unit{Entry: middle, Exit: u.Exit, Ended: true})
	}
	fit, err := FitWeibull(cut, Prior{})
	require.NoError(t, err)
	close(t, whole.Shape, fit.Shape, 1e-10, "shape")
	close(t, whole.Scale, fit.Scale, 1e-10, "scale")
	close(t, whole.LogLik, fit.LogLik, 1e-12, "log likelihood")
	assert.Equal(t, 23, fit.Censored)
}

func TestScalingTimeScalesOnlyTheScale(t *testing.T) {
	for _, units := range [][]Unit{bearings(t), gehan(t, "6-MP"), channing(t, "")} {
		one, err := FitWeibull(units, Prior{})
		require.NoError(t, err)
		for _, c := range []float64{1e-9, 0.01, 7, 1e12} {
			scaled := slices.Clone(units)
			for i := range scaled {
				scaled[i].Entry *= c
				scaled[i].Exit *= c
			}
			fit, err := FitWeibull(scaled, Prior{})
			require.NoError(t, err)
			close(t, one.Shape, fit.Shape, 1e-9, "shape")
			close(t, one.Scale*c, fit.Scale, 1e-9, "scale")
			close(t, one.ShapeSE, fit.ShapeSE, 1e-7, "shape SE")
			close(t, one.ScaleSE*c, fit.ScaleSE, 1e-7, "scale SE")
		}
	}
}

func TestCopiesAndOrder(t *testing.T) {
	units := gehan(t, "6-MP")
	one, err := FitWeibull(units, Prior{})
	require.NoError(t, err)

	shuffled := slices.Clone(units)
	rand.New(rand.NewPCG(4, 2)).Shuffle(len(units), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	same, err := FitWeibull(shuffled, Prior{})
	require.NoError(t, err)
	assert.Equal(t, one.Weibull, same.Weibull, "the order of units may not change a digit")

	four, err := FitWeibull(slices.Concat(units, units, shuffled, units), Prior{})
	require.NoError(t, err)
	close(t, one.Shape, four.Shape, 1e-10, "shape")
	close(t, one.ShapeSE/2, four.ShapeSE, 1e-8, "shape SE")
	close(t, one.ScaleSE/2, four.ScaleSE, 1e-8, "scale SE")

	// Units seen alive for longer than anything on record can only lengthen
	// life; units never really watched change nothing.
	longer, err := FitWeibull(append(slices.Clone(units), Unit{Exit: 60}, Unit{Exit: 60}), Prior{})
	require.NoError(t, err)
	assert.Greater(t, longer.Scale, one.Scale)
	assert.Equal(t, one.Censored+2, longer.Censored)
	unseen, err := FitWeibull(append(slices.Clone(units), Unit{Entry: 20, Exit: math.Nextafter(20, 21)}), Prior{})
	require.NoError(t, err)
	close(t, one.Scale, unseen.Scale, 1e-10, "scale")
}

// TestRecoversTheTruth draws lives with staggered entry and end of watching.
func TestRecoversTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 29))
	truth := Weibull{Shape: 2.6, Scale: 48}
	var z [2][]float64
	covered := 0
	const runs = 300
	for range runs {
		fit, err := FitWeibull(staggered(rng, truth, 60), Prior{})
		require.NoError(t, err)
		z[0] = append(z[0], math.Log(fit.Shape/truth.Shape)/math.Sqrt(fit.CovLog[0][0]))
		z[1] = append(z[1], math.Log(fit.Scale/truth.Scale)/math.Sqrt(fit.CovLog[1][1]))
		if i := fit.QuantileInterval(0.1, 0.9); i.Lower <= truth.Quantile(0.1) && truth.Quantile(0.1) <= i.Upper {
			covered++
		}
	}
	for i := range z {
		mean, square := 0.0, 0.0
		for _, v := range z[i] {
			mean += v / runs
			square += v * v / runs
		}
		assert.InDelta(t, 0, mean, 0.3, "bias in standard errors")
		assert.InDelta(t, 1, square, 0.3, "standard errors are of the right size")
	}
	// 90 % nominal; four standard errors of 300 trials are 0.07.
	assert.InDelta(t, 0.9, float64(covered)/runs, 0.07)
}

func staggered(rng *rand.Rand, law Weibull, n int) []Unit {
	var units []Unit
	for len(units) < n {
		life := law.DrawRemaining(0, rng)
		entry := max(0, 40*rng.Float64()-20)
		end := entry + 5 + 60*rng.Float64()
		if life <= entry {
			continue // ended before anyone looked
		}
		units = append(units, Unit{Entry: entry, Exit: min(life, end), Ended: life <= end})
	}
	return units
}

func TestNoMaximum(t *testing.T) {
	cases := map[string]struct {
		units []Unit
		prior Prior
		says  string
	}{
		"no units":              {nil, Prior{}, "no unit has ended"},
		"none ended":            {[]Unit{{Exit: 3}, {Exit: 9}}, Prior{}, "no unit has ended"},
		"none ended, one prior": {[]Unit{{Exit: 3}}, Prior{Scale: LogNormal{30, 1}}, "no unit has ended"},
		"one life":              {[]Unit{{Exit: 3, Ended: true}}, Prior{}, "one age"},
		"one distinct life":     {[]Unit{{Exit: 3, Ended: true}, {Exit: 3, Ended: true}, {Exit: 2}}, Prior{}, "one age"},
		"one distinct life, prior on scale only": {
			[]Unit{{Exit: 3, Ended: true}}, Prior{Scale: LogNormal{30, 1}}, "one age"},
		"lives nearly alike": {[]Unit{{Exit: 3, Ended: true}, {Exit: 3 + 1e-12, Ended: true}}, Prior{}, "agree too closely"},
		"hazard falls too fast": {
			[]Unit{{Entry: 1, Exit: 1.01, Ended: true}, {Entry: 1, Exit: 1.02, Ended: true}, {Entry: 1, Exit: 1e6}},
			Prior{}, "falls faster"},
	}
	for name, c := range cases {
		_, err := FitWeibull(c.units, c.prior)
		require.ErrorIs(t, err, ErrNoMaximum, name)
		assert.ErrorContains(t, err, c.says, name)
	}

	// A longer life beside one that ended is enough.
	fit, err := FitWeibull([]Unit{{Exit: 3, Ended: true}, {Exit: 5}}, Prior{})
	require.NoError(t, err)
	assert.True(t, fit.Valid())
}

func TestUnusableUnits(t *testing.T) {
	nan := math.NaN()
	for i, u := range []Unit{{Entry: -1, Exit: 2}, {Exit: 0}, {Entry: 5, Exit: 5}, {Entry: nan, Exit: 1},
		{Exit: nan}, {Exit: math.Inf(1)}, {Entry: 5, Exit: 4, Ended: true}} {
		units := append(slices.Clone(bearings(t)), u)
		_, err := FitWeibull(units, Prior{})
		require.ErrorContains(t, err, "unit 24 of 24", fmt.Sprint(i))
		assert.False(t, errors.Is(err, ErrNoMaximum))
		_, err = KaplanMeier(units)
		require.ErrorContains(t, err, "unit 24 of 24")
	}
}
