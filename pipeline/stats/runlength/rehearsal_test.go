package runlength

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// short are series of 40, as those of which the limit is wanted; what is true of
// them spreads wider than the slope chart takes for granted.
func short(s series, count int, seed uint64) []Series {
	wide := [][]float64{{1.5 * s.g[0][0], s.g[0][1]}, {s.g[1][0], 1.5 * s.g[1][1]}}
	var out []Series
	for i := range count {
		out = append(out, Series{
			Obs:   s.draw(rand.New(rand.NewPCG(1, uint64(i))), 40, 1e9, 0),
			Taken: s.g, True: wide, Charted: true, Source: rand.NewPCG(seed, uint64(i)),
		})
	}
	return out
}

func usualPair() Pair {
	return Pair{Sizes: []float64{1, 2}, Head: 20, Bound: 3, Reference: 0.5, Limit: 5}
}

// The limit is found by gains and shifts worked out beforehand. Here series are
// drawn anew and followed by the charts themselves, step by step: they must be
// flagged at the rate asked for.
func TestSlopeLimitGivesTheRateAskedFor(t *testing.T) {
	s, p := usualSeries(), usualPair()
	const inControl, runs = 150.0, 2500
	all := short(s, 12, 3)
	limit, run := p.SlopeLimit(all, inControl, 60_000)
	require.InEpsilon(t, inControl, run, 0.02)

	wide := series{g: all[0].True, sd: s.sd, per: s.per}
	rng := rand.New(rand.NewPCG(4, 4))
	flagged, seen := 0.0, 0.0
	for range runs {
		c, known, sum := NewSlopeChart(s.g, p.Sizes, p.Head, p.Bound), NewFilter(wide.g), 0.0
		for _, o := range wide.draw(rng, 40, 1e9, 0) {
			seen++
			c.Step(o)
			e, variance, _ := known.Step(o)
			sum = math.Max(0, sum-Clip(e/math.Sqrt(variance), p.Bound)-p.Reference)
			if c.LogR() > limit || sum > p.Limit {
				flagged++
				break
			}
		}
	}
	rate, se := flagged/seen, math.Sqrt(flagged)/seen
	assert.InDelta(t, 1/inControl, rate, 3*se+0.08/inControl, "0.08: the limit itself is drawn")
}

// For series that end after 40 observations the bound for endless ones is far too high.
func TestSlopeLimitIsLowerThanTheBoundWhereSeriesEnd(t *testing.T) {
	s, p := usualSeries(), usualPair()
	all := short(s, 12, 3)
	for i := range all {
		all[i].True = all[i].Taken
	}
	p.Limit = math.Inf(1)
	limit, _ := p.SlopeLimit(all, 500, 40_000)
	require.Less(t, limit, NewSlopeChart(s.g, p.Sizes, p.Head, p.Bound).Limit(500)-0.3)
	stricter, _ := p.SlopeLimit(short(s, 12, 3), 2000, 40_000)
	require.Greater(t, stricter, limit)
}

func TestSlopeLimitAtItsEnds(t *testing.T) {
	p := usualPair()
	limit, run := p.SlopeLimit(nil, 500, 1000)
	require.True(t, math.IsInf(limit, 1) && math.IsInf(run, 1))
	// A CUSUM with a limit of 0 alone flags at once and leaves nothing.
	p.Limit = 0
	limit, run = p.SlopeLimit(short(usualSeries(), 3, 1), 500, 5000)
	require.True(t, math.IsInf(limit, 1))
	require.Less(t, run, 10.0)
	// Of more series than can be drawn a part is drawn; the same each time.
	p = usualPair()
	once, _ := p.SlopeLimit(short(usualSeries(), 60, 1), 100, 400)
	again, _ := p.SlopeLimit(short(usualSeries(), 60, 1), 100, 400)
	require.Equal(t, once, again)
	require.False(t, math.IsInf(once, 1))
}
