package hindcast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// shelf is a made-up studio: molds of one form that follow each other at four
// places, each with a life of its own.
func shelf(seed uint64, days int) tables.Studio {
	rng := rand.New(rand.NewPCG(seed, 9))
	var molds []tables.Mold
	var casts []tables.Cast
	start := tables.MakeDate(2024, 1, 1)
	for place := range 4 {
		mold, age, ends, own := "", 0, 0, 0.0
		for d := range days {
			day := start + tables.Date(d)
			if age == ends {
				if mold != "" {
					last := &molds[len(molds)-1]
					last.Status, last.EndReason, last.EndedOn = history.StatusBroken, "broken", day-1
				}
				mold = fmt.Sprintf("M%d-%03d", place, d)
				age, ends, own = 0, 10+rng.IntN(40), 0.04*rng.NormFloat64()
				molds = append(molds, tables.Mold{Mold: mold, Form: "cup", Kind: "split", InService: day, CastsBeforeLog: tables.NoCount, EndedOn: tables.NoDate})
			}
			t := 12 + 8*rng.Float64()
			w := math.Exp(0.5*math.Log(1.2*t) + own - 0.005*float64(age) + 0.03*rng.NormFloat64())
			casts = append(casts, tables.Cast{Mold: mold, Date: day, TimeMin: tables.Absent(), DwellMin: t, WallsMM: []float64{w},
				DemoldMin: tables.Absent(), MoldMassKg: tables.Absent(), RoomC: tables.Absent(), RoomHumidity: tables.Absent()})
			age++
		}
	}
	no := tables.Absent()
	form := tables.Form{Form: "cup", TargetWallMM: 4, WallToleranceMM: 0.5, LongestDwellMin: 60, CastsPerDay: no, RestHours: no,
		PiecesPerKgSlip: no, DryingShrinkage: no, FiringShrinkage: no, TargetFiredWallMM: no}
	return tables.Studio{Molds: tables.FrameOf(molds...), Casts: tables.FrameOf(casts...), Forms: tables.FrameOf(form)}
}

// rowsOf are the rows of a frame. Absent numbers do not equal themselves: compare them as text.
func rowsOf[R tables.Row](f tables.Frame[R]) []R {
	var out []R
	for _, r := range f.Rows() {
		out = append(out, r)
	}
	return out
}

func refit(log history.Log, s tables.Studio) (wall.Answer, []Outlook) {
	w := wall.Run(log, s, wall.Defaults())
	set := life.Defaults()
	set.Draws = 500
	l := life.Run(log, s, w, set, 1)
	return w, []Outlook{{l.Remaining, l.Draws}}
}

// only is the replay with one way to forecast.
func only(log history.Log, s tables.Studio, set Settings) Answer {
	return Run(log, s, refit, 1, set)[0]
}

func TestForecastsOfAPlainStudioComeTrue(t *testing.T) {
	s := shelf(1, 200)
	log, _ := history.Build(s, tables.NoDate)
	ans := only(log, s, Defaults())
	require.Empty(t, ans.WhyNot)
	require.Len(t, ans.Origins, 8)
	require.Len(t, ans.Rows, 6)
	for _, r := range ans.Rows {
		assert.InDelta(t, r.Level, r.Share, 3.5*r.StdError+0.02, "%+v", r)
		if r.What == WhatWall {
			assert.Zero(t, r.Undecided)
			assert.Greater(t, int(r.Forecasts), 300)
			assert.Less(t, r.Loss, r.Rival, "%+v", r)
		}
	}
	again := only(log, s, Defaults())
	require.Equal(t, ans, again, "the same inputs give the same answer on any number of cores")
}

// 800 casts of which 62.5 % are known on average: 500 a date.
func TestALongLogIsReplayedFromFewerDates(t *testing.T) {
	log, _ := history.Build(shelf(1, 200), tables.NoDate)
	set := Defaults()
	require.Len(t, origins(log, set), 8)
	set.MostCasts = 2600
	require.Len(t, origins(log, set), 5)
	set.MostCasts = 10
	require.Len(t, origins(log, set), set.LeastDates)
}

// Nothing that came later may reach a forecast: when all later casts and ends are
// changed, the forecasts from an origin stay as they were.
func TestNoForecastKnowsTheFuture(t *testing.T) {
	s := shelf(2, 120)
	log, _ := history.Build(s, tables.NoDate)
	at := origins(log, Defaults())[2]
	cut := known(s, log, at)
	casts := rowsOf(s.Casts)
	for i := range casts {
		if casts[i].Date > at {
			casts[i].WallsMM = []float64{1}
		}
	}
	molds := rowsOf(s.Molds)
	for i := range molds {
		if molds[i].EndedOn > at {
			molds[i].EndedOn, molds[i].EndReason = at+3, "slow"
		}
	}
	other := s
	other.Casts, other.Molds = tables.FrameOf(casts...), tables.FrameOf(molds...)
	otherLog, _ := history.Build(other, tables.NoDate)
	otherCut := known(other, otherLog, at)
	require.Equal(t, fmt.Sprint(rowsOf(cut.Casts)), fmt.Sprint(rowsOf(otherCut.Casts)))
	require.Equal(t, fmt.Sprint(rowsOf(cut.Molds)), fmt.Sprint(rowsOf(otherCut.Molds)))
	for _, c := range cut.Casts.Rows() {
		require.LessOrEqual(t, c.Date, at)
	}
	for _, m := range cut.Molds.Rows() {
		require.LessOrEqual(t, m.InService, at)
		require.False(t, m.EndedOn.Valid() && m.EndedOn > at)
	}
}

func TestAnEndWithoutADateIsNotKnownBeforeTheLastCast(t *testing.T) {
	s := shelf(3, 120)
	molds := rowsOf(s.Molds)
	for i := range molds {
		molds[i].EndedOn = tables.NoDate
	}
	s.Molds = tables.FrameOf(molds...)
	log, _ := history.Build(s, tables.NoDate)
	at := origins(log, Defaults())[0]
	then, _ := history.Build(known(s, log, at), at)
	using := 0
	for _, m := range then.Molds {
		if m.InUse() {
			using++
		}
	}
	require.GreaterOrEqual(t, using, 3)
}

// Intervals that are too narrow by construction are found out and widened; those
// that are right are left alone.
func TestNarrowIntervalsAreWidened(t *testing.T) {
	var ans Answer
	rng := rand.New(rand.NewPCG(4, 4))
	for i := range 400 {
		w := Wall{Mold: fmt.Sprint("M", i%20), ForecastMM: 4, LastMM: 4.2}
		w.MeasuredMM = 4 * math.Exp(0.06*rng.NormFloat64())
		at := func(level float64) (low, high float64) {
			half := 0.03 * normalPoint(level) // half of the true spread
			return 4 * math.Exp(-half), 4 * math.Exp(half)
		}
		w.Lower, w.Upper = at(0.9)
		w.low, w.high = at(0.8)
		for k, level := range levels() {
			low, high := at(level)
			w.held[k] = low <= w.MeasuredMM && w.MeasuredMM <= high
		}
		ans.Walls = append(ans.Walls, w)
	}
	ans.WallFactor, ans.LifeFactor = 1, 1
	ans.judgeWalls(Defaults())
	for _, r := range ans.Rows {
		require.Less(t, r.Share, r.Level-2*r.StdError)
		require.InDelta(t, 2, r.Factor, 0.25, "%+v", r)
	}
	require.Equal(t, ans.Rows[2].Factor, ans.WallFactor)

	walls := wall.Answer{Fitted: true,
		States: []tables.MoldState{{NextWallMM: 4, NextWallLower90: 3.8, NextWallUpper90: 4.2}},
		Guide:  []tables.DwellGuide{{DwellMin: 20, DwellLower90: 18, DwellUpper90: 22}, {DwellMin: tables.Absent(), DwellLower90: tables.Absent(), DwellUpper90: tables.Absent()}}}
	wide, _ := ans.Rescale(walls, life.Answer{})
	f := ans.WallFactor
	require.InEpsilon(t, 4*math.Pow(3.8/4, f), wide.States[0].NextWallLower90, 1e-12)
	require.InEpsilon(t, 20*math.Pow(22.0/20, f), wide.Guide[0].DwellUpper90, 1e-12)
	require.True(t, math.IsNaN(wide.Guide[1].DwellMin))
	require.Equal(t, 3.8, walls.States[0].NextWallLower90, "what was handed in stays as it was")

	// New cases like the old ones are held as often as the level says.
	held := 0
	for range 2000 {
		if m := 4 * math.Exp(0.06*rng.NormFloat64()); math.Abs(math.Log(m/4)) <= f*0.03*normalPoint(0.9) {
			held++
		}
	}
	require.InDelta(t, 0.9, float64(held)/2000, 0.03)
}

// narrow are draws of a forecast of remaining casts about 30, of half the spread
// with which they come.
func narrow() []float64 {
	draws := make([]float64, 1000)
	for i := range draws {
		draws[i] = math.Round(30 + 4.5*distuv.UnitNormal.Quantile((float64(i)+0.5)/1000))
	}
	return draws
}

func TestNarrowForecastsOfRemainingCastsAreStretched(t *testing.T) {
	ans := Answer{WallFactor: 1, LifeFactor: 1}
	rng := rand.New(rand.NewPCG(5, 4))
	for i := range 300 {
		row := tables.RemainingCasts{Mold: fmt.Sprint("M", i)}
		came, ended := math.Round(30+9*rng.NormFloat64()), true
		if i%3 == 0 { // some are still in use, at any age
			if so := float64(rng.IntN(45)); so < came {
				came, ended = so, false
			}
		}
		now := history.Mold{Mold: row.Mold, Age: int(max(0, came)), Status: history.StatusInUse}
		if ended {
			now.Status, now.EndReason = history.StatusBroken, "broken"
		}
		l, ok := lifeOf(row, narrow(), now, tables.MakeDate(2025, 1, 1), 35)
		require.True(t, ok)
		ans.Lives = append(ans.Lives, l)
	}
	ans.judgeLives(Defaults())
	for _, r := range ans.Rows {
		require.Positive(t, int(r.Undecided))
		require.Equal(t, 300, int(r.Undecided+r.Forecasts))
		require.Equal(t, ans.LifeFactor, r.Factor, "one factor stretches the draws")
	}
	require.InDelta(t, 2, ans.LifeFactor, 0.3, "the spread is twice that of the forecasts")
}

// The draws, from which a run is planned, and the points and chances of the row
// agree before and after.
func TestRescaledDrawsAndPointsAgree(t *testing.T) {
	draws := narrow()
	row := life.Summarise(tables.RemainingCasts{Mold: "A", LikelyCause: life.CauseSlow}, draws)
	for _, f := range []float64{0.7, 1.4, 2} {
		ans := Answer{WallFactor: 1, LifeFactor: f}
		_, got := ans.Rescale(wall.Answer{}, life.Answer{Remaining: []tables.RemainingCasts{row}, Draws: [][]float64{draws}})
		r, d := got.Remaining[0], got.Draws[0]
		require.Equal(t, life.Summarise(r, d), r)
		require.Equal(t, life.CauseSlow, r.LikelyCause)
		z := distuv.UnitNormal.Quantile(0.9)
		require.InDelta(t, 30-4.5*f*z, r.RemainingP10, 1)
		require.Equal(t, 30.0, r.RemainingP50)
		require.InDelta(t, 30+4.5*f*z, r.RemainingP90, 1)
		require.InDelta(t, distuv.UnitNormal.CDF((30-19.5)/(4.5*f)), r.Survive20, 0.02)
		inside := 0.0
		for _, x := range d {
			if x >= 30-4.5*f*z && x <= 30+4.5*f*z {
				inside++
			}
		}
		require.InDelta(t, 0.8, inside/1000, 0.05)
	}
	require.Equal(t, narrow(), draws, "what was handed in stays as it was")
}

// Below the least number of scored forecasts nothing is rescaled.
func TestFewForecastsChangeNothing(t *testing.T) {
	r := tables.Hindcast{Level: 0.9, Share: 0.3, StdError: 0.05}
	require.False(t, off(r, 49, Defaults()))
	require.True(t, off(r, 50, Defaults()))
	r.Share = 0.85
	require.False(t, off(r, 500, Defaults()), "by chance")
}

func TestTooShortALogSaysSo(t *testing.T) {
	s := shelf(6, 4)
	log, _ := history.Build(s, tables.NoDate)
	ans := only(log, s, Defaults())
	require.NotEmpty(t, ans.WhyNot)
	require.Empty(t, ans.Rows)
	empty, _ := history.Build(tables.Studio{}, tables.NoDate)
	require.NotEmpty(t, only(empty, tables.Studio{}, Defaults()).WhyNot)
}

// known is the studio as its sheets stood at a date, as far as they tell of the molds
// of a log: casts up to it, molds in service by then, ends that had happened. Forms,
// and what was measured of a batch of slip when it was mixed, are taken as known: both
// come before the cast. An end without a date is taken to have come with the mold's
// last cast. The caller releases it.
func known(s tables.Studio, log history.Log, at tables.Date) tables.Studio {
	return knownOf(s, log, listed(s, log), at)
}
