package charts

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline"
	"moldwright/pipeline/hindcast"
	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
)

// factory is an invented result of 200,000 casts of 4,000 molds.
func factory() pipeline.Result {
	const casts, molds, forms = 200_000, 4000, 40
	rng := rand.New(rand.NewPCG(3, 5))
	res := sample()
	res.Wall.Curves, res.Wall.Paths, res.Wall.Used = nil, nil, nil
	for f := range forms {
		c := sampleCurve(rng, fmt.Sprintf("Form %d", f), 0.9)
		for len(c.CastWallMM) < casts/forms {
			c.CastDwellMin, c.CastWallMM = append(c.CastDwellMin, 12+28*rng.Float64()), append(c.CastWallMM, 3+2*rng.Float64())
		}
		res.Wall.Curves = append(res.Wall.Curves, c)
	}
	var states []watch.Place
	for m := range molds {
		name := fmt.Sprintf("M%04d", m)
		p := wall.Path{Mold: name, InUse: m%2 == 0}
		for n := range casts / molds {
			p.AgeCasts, p.Rate = append(p.AgeCasts, float64(n)), append(p.Rate, 0.8+0.4*rng.Float64())
			w := 3 + 2*rng.Float64()
			weight := 1.0
			if rng.IntN(50) == 0 {
				weight = rng.Float64()
			}
			res.Wall.Used = append(res.Wall.Used, tables.CastUsed{Mold: name, AgeCasts: tables.Count(n), DwellMin: 20, WallMM: w * (0.95 + 0.1*rng.Float64()), FittedMM: w, ResidualZ: rng.NormFloat64(), Weight: weight})
			res.Hindcast.Walls = append(res.Hindcast.Walls, hindcast.Wall{Mold: name, ForecastMM: w, Lower: w - 0.3, Upper: w + 0.3, MeasuredMM: w + 0.25*rng.NormFloat64()})
		}
		p.FitAge, p.FitRate, p.FitLow95, p.FitUp95 = []float64{0, 50}, []float64{1.1, 0.8}, []float64{1.0, 0.7}, []float64{1.2, 0.9}
		res.Wall.Paths = append(res.Wall.Paths, p)
		res.Life.Remaining = append(res.Life.Remaining, sampleRemaining(rng, name, "form", m))
		res.Hindcast.Lives = append(res.Hindcast.Lives, hindcast.Life{Mold: name, P10: 10, P50: 20, P90: 40, Came: 30 * rng.Float64(), Ended: m%2 == 1})
		status, state := watch.Fine, history.StatusInUse
		if m%100 == 98 {
			status = watch.Flagged
		}
		if m%2 == 1 {
			state = history.StatusRetired
		} else {
			states = append(states, watch.Place{Mold: name, Form: fmt.Sprintf("Form %d", m/100), AgeCasts: 50, RemainingP10: 5, RemainingP50: 12, RemainingP90: 30, Status: status})
		}
		res.Log.Molds = append(res.Log.Molds, history.Mold{Mold: name, Status: state})
	}
	res.Watch.Shelf = states
	long := &res.Watch.Charts[0]
	for n := len(long.AgeCasts); n < 5000; n++ {
		long.AgeCasts, long.Sum, long.Wear = append(long.AgeCasts, float64(n)), append(long.Sum, 1), append(long.Wear, 1)
		long.WallMM, long.PredictedMM, long.Lower90, long.Upper90 = append(long.WallMM, 4), append(long.PredictedMM, 4), append(long.Lower90, 3.8), append(long.Upper90, 4.2)
	}
	steps := &res.Life.Causes[1]
	for n := range 20_000 {
		share := 0.29 + 0.5*float64(n)/20_000
		steps.Steps = append(steps.Steps, life.IncidenceStep{AgeCasts: 48 + float64(n), Share: []float64{share, 0.2, 0, 0, 0}, InUse: 0.8 - share})
	}
	steps.LastCasts = 30_000
	for n := range 20_000 {
		res.Life.Curves[1].StepAge, res.Life.Curves[1].StepShare = append(res.Life.Curves[1].StepAge, 50+float64(n)), append(res.Life.Curves[1].StepShare, 0.4-0.00001*float64(n))
	}
	return res
}

// TestChartsOfAFactoryAreBounded draws 200,000 casts: the size of each file, and the time
// for all, are about those of a studio, and each chart says what it shows of how much.
func TestChartsOfAFactoryAreBounded(t *testing.T) {
	res := factory()
	began := time.Now()
	charts := drawAll(t, res)
	require.Less(t, time.Since(began), 60*time.Second, "some seconds on a machine with other work")
	for name, c := range charts {
		require.Less(t, len(c.SVG), 600_000, name)
	}
	for name, want := range map[string]string{
		"wall_against_dwell":      "12 of 40 forms shown; 3600 of 60 000 casts shown, chosen evenly through the log",
		"rate_against_age":        "24 of 4000 molds shown, those that need action first",
		"measured_against_fitted": "far-off ones shown, the least trusted",
		"residuals":               "casts shown, chosen evenly through the log",
		"remaining_casts":         "34 of 4012 molds shown, those with the fewest casts left",
		"shelf":                   "34 of 2000 molds shown, those that need action first",
		"hindcast_walls":          "forecasts shown, chosen evenly through the log",
		"hindcast_lives":          "3000 of 4060 forecasts shown",
		"watch_mold_1":            "400 of 5000 casts shown, the latest",
	} {
		said := strings.ReplaceAll(strings.Join(texts(t, charts[name].SVG), "\n"), "\u2009", " ")
		require.Contains(t, said, want, name)
		require.Contains(t, charts[name].Note, "Shown are", name)
	}
	require.Equal(t, 34, bytes.Count(charts["shelf"].SVG, []byte(">flagged<")), "40 are flagged: no other mold is shown")
}

func TestPickedAreSpreadAndTheSameEachTime(t *testing.T) {
	for _, n := range []int{0, 1, 5, 100, 100_003} {
		at := picked(n, 100)
		require.Len(t, at, min(n, 100))
		require.Equal(t, at, picked(n, 100))
		rest := map[int]int{}
		for i, k := range at {
			require.Less(t, k, n)
			if i > 0 {
				require.Greater(t, k, at[i-1])
			}
			rest[k%4]++
		}
		for _, of := range rest {
			require.True(t, n < 100 || of >= 15, "one mold in four is not left out: %v", rest)
		}
	}
}
