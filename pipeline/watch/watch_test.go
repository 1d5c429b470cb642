package watch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// studio is a made-up shelf of ten molds for property tests; wear gives each
// mold's loss of log wall at a cast.
func studio(seed uint64, casts int, wear func(mold, n int) float64) (history.Log, wall.Answer) {
	rng := rand.New(rand.NewPCG(seed, 1))
	var molds []tables.Mold
	var rows []tables.Cast
	for m := range 10 {
		name := fmt.Sprintf("M-%02d", m)
		molds = append(molds, tables.Mold{Mold: name, Form: "cup", Kind: "split", InService: tables.NoDate, CastsBeforeLog: tables.NoCount, EndedOn: tables.NoDate})
		lost, own := 0.0, 0.03*rng.NormFloat64()
		for n := range casts {
			lost += wear(m, n)
			t := 15 + 10*rng.Float64()
			w := math.Exp(0.5*math.Log(1.2*t) + own - lost + 0.03*rng.NormFloat64())
			rows = append(rows, tables.Cast{Mold: name, Date: tables.MakeDate(2025, 1, 1) + tables.Date(n), TimeMin: tables.Absent(), DwellMin: t, WallsMM: []float64{w},
				DemoldMin: tables.Absent(), MoldMassKg: tables.Absent(), RoomC: tables.Absent(), RoomHumidity: tables.Absent()})
		}
	}
	s := tables.Studio{Molds: tables.FrameOf(molds...), Casts: tables.FrameOf(rows...)}
	log, _ := history.Build(s, tables.NoDate)
	return log, wall.Run(log, s, wall.Defaults())
}

func TestAMoldThatTurnsThinIsFlaggedWithItsOnset(t *testing.T) {
	log, walls := studio(1, 30, func(m, n int) float64 {
		if m == 4 && n >= 20 {
			return 0.03
		}
		return 0.004
	})
	ans := Run(log, walls, nil, Defaults())
	require.Empty(t, ans.WhyNot)
	require.Equal(t, "M-04", ans.Molds[0].Mold)
	require.True(t, ans.Molds[0].Flagged)
	require.InDelta(t, 20, float64(ans.Molds[0].SinceAgeCasts), 6)
	require.NotEmpty(t, ans.Charts)
	require.Len(t, ans.Charts[0].Sum, 30)
}

func TestAMoldThatAlwaysWearsFastIsFlaggedByItsWear(t *testing.T) {
	log, walls := studio(2, 30, func(m, _ int) float64 {
		if m == 7 {
			return 0.015
		}
		return 0.004
	})
	ans := Run(log, walls, nil, Defaults())
	require.Equal(t, "M-07", ans.Molds[0].Mold)
	require.True(t, ans.Molds[0].Flagged)
	require.Greater(t, ans.Molds[0].ChanceFastWear, 0.9)
}

// With no mold apart from the others, false flags are rare: by the running sum
// one in 500 casts, at the last cast far fewer.
func TestAHealthyShelfIsMostlyQuiet(t *testing.T) {
	flagged, all := 0, 0
	set := Defaults()
	set.RehearsedCasts = 20_000
	for seed := range uint64(20) {
		log, walls := studio(100+seed, 25, func(int, int) float64 { return 0.005 })
		for _, w := range Run(log, walls, nil, set).Molds {
			all++
			if w.Flagged {
				flagged++
			}
		}
	}
	require.Equal(t, 200, all)
	require.LessOrEqual(t, flagged, 12, "of 200 healthy molds")
}

// track is a made-up mold without effects of its own: standardised errors.
func track(zs ...float64) wall.Track {
	var t wall.Track
	for i, z := range zs {
		t.Casts = append(t.Casts, wall.TrackCast{Cast: i, Age: i, Y: z, Residual: z, Variance: 1, Trust: 1, Wear: -0.2})
	}
	return t
}

// logOf is a log of one mold with those casts.
func logOf(casts ...history.Cast) history.Log {
	for i := range casts {
		casts[i].Age, casts[i].WallMM, casts[i].DwellMin = int32(i), 4, 12
		casts[i].Date, casts[i].TimeMin = tables.MakeDate(2025, 1, 1)+tables.Date(i), float32(tables.Absent())
	}
	return history.Log{Molds: []history.Mold{{Mold: "M", Kind: "split", Status: history.StatusInUse, Age: len(casts), Last: len(casts)}}, Casts: casts}
}

func limitsOf(t *testing.T, log history.Log, tr wall.Track) limits {
	t.Helper()
	lim, err := limitsFor(log, []wall.Track{tr}, shiftsOf([]wall.Track{tr}), Defaults())
	require.NoError(t, err)
	return lim
}

func follow(t *testing.T, log history.Log, tr wall.Track) Chart {
	t.Helper()
	return evidence(log, 0, tr, shiftsOf([]wall.Track{tr}), limitsOf(t, log, tr), Defaults(), atEach)
}

func TestOneMistypedWallFlagsNobody(t *testing.T) {
	zs := make([]float64, 20)
	zs[10] = -40
	c := follow(t, logOf(make([]history.Cast, 20)...), track(zs...))
	_, raised := c.FirstFlag()
	require.False(t, raised)
	zs[11], zs[12] = -3, -3
	c = follow(t, logOf(make([]history.Cast, 20)...), track(zs...))
	_, raised = c.FirstFlag()
	require.True(t, raised, "three in a row are no slip of the pen")
}

func TestAShiftOfTheSlipIsNoMoldsFault(t *testing.T) {
	tracks := make([]wall.Track, 6)
	for m := range tracks {
		for i := range 20 {
			slip, z := "old", 0.5*float64(i%3-1)
			if i >= 10 {
				slip, z = "new", z-1.5
			}
			tracks[m].Casts = append(tracks[m].Casts, wall.TrackCast{Age: i, Slip: slip, Residual: z, Variance: 1})
		}
	}
	s := shiftsOf(tracks)
	shift, unknown := s.of("New", 0)
	require.InDelta(t, -1.5, shift, 0.1, "five molds of ten casts tell nearly all of it")
	require.Less(t, unknown, 0.1)
	shift, _ = s.of("", 0)
	require.Zero(t, shift)

	// What one mold alone shows is not the slip's.
	for i := range tracks {
		for k := range tracks[i].Casts {
			if i > 0 {
				tracks[i].Casts[k].Residual = 0.5 * float64(k%3-1)
			}
		}
	}
	shift, _ = shiftsOf(tracks).of("new", 0)
	require.InDelta(t, 0, shift, 0.1)
}

// Charts that alarm once in N1 and N2 casts alarm together no more often than
// once in 1/(1/N1 + 1/N2).
func TestTheStatedRateIsThatOfAllEvidenceTogether(t *testing.T) {
	casts := make([]history.Cast, 12)
	for i := range casts {
		casts[i].Result = history.Good
	}
	log, tr := logOf(casts...), track(make([]float64, 12)...)
	lim := limitsOf(t, log, tr)
	rejects := lim.rejects[0].run
	require.GreaterOrEqual(t, rejects, 5000.0)
	require.InEpsilon(t, 1/500.0, 1/lim.wallsRun+1/rejects, 1e-12)
	c := follow(t, log, tr)
	require.InEpsilon(t, 500, falseAlarms(c, rejects, lim), 1e-12)
	c.RejectLimit = tables.Absent()
	require.InEpsilon(t, lim.wallsRun, falseAlarms(c, rejects, lim), 1e-9, "without results there is one chart less to be wrong")
	c.WearLimit = tables.Absent()
	require.InEpsilon(t, 2500, falseAlarms(c, rejects, lim), 1e-9, "and thin walls alone keep their own rate")
}

// Where logs are short the limit does not sink below odds of one to two.
func TestAFewCastsDoNotLowerTheLimitForEver(t *testing.T) {
	log := logOf(make([]history.Cast, 4)...)
	require.InDelta(t, math.Log(250), limitsOf(t, log, track(0, 0, 0, 0)).wear, 1e-12)
	long := logOf(make([]history.Cast, 60)...)
	require.Greater(t, limitsOf(t, long, track(make([]float64, 60)...)).wear, math.Log(250))
	none := track(0, 0, 0)
	for i := range none.Casts {
		none.Casts[i].Wear = 0
	}
	require.True(t, math.IsNaN(limitsOf(t, logOf(make([]history.Cast, 3)...), none).wear), "a kind that does not wear has no such chart")
}

func TestRejectsOfOneMoldFlagIt(t *testing.T) {
	casts := make([]history.Cast, 40)
	for i := range casts {
		casts[i].Result = history.Good
		if i >= 30 && i%2 == 0 {
			casts[i].Result = history.Reject
		}
	}
	log := logOf(casts...)
	c := follow(t, log, track(make([]float64, 40)...))
	require.True(t, c.rejecting())
	lim := limitsOf(t, log, track(make([]float64, 40)...))
	w := judge(c, tables.Absent(), lim.rejects[0].run, lim, Defaults())
	require.True(t, w.Flagged)
	require.InDelta(t, 30, float64(w.SinceAgeCasts), 2)
	require.Contains(t, w.Evidence, "rejects")
	require.Equal(t, "more than its kind makes", w.RejectEvidence)
}

// The share of rejects is that of the other molds of the kind, drawn to that of
// the studio's other molds, which is drawn to common practice: (1 + 0.04·25)/(20 +
// 25) = 2/45 for the studio; for the kind, whose older half has the reject,
// (1 + 50·2/45)/(10 + 50) = 0.0537, rounded up to 0.055.
func TestRejectChanceByHand(t *testing.T) {
	casts := make([]history.Cast, 20)
	for i := range casts {
		casts[i].Result = history.Good
	}
	casts[15].Result = history.Reject
	log := logOf(casts...)
	log.Molds = append(log.Molds, history.Mold{Mold: "N", Kind: "split"})
	counts := countRejects(log)
	require.InEpsilon(t, 0.055, counts.chanceOf(log.Molds[1].Kind, 1), 1e-12)
	require.InEpsilon(t, 0.04, counts.chanceOf(log.Molds[0].Kind, 0), 1e-12, "of itself a mold tells nothing")
}

func TestThinWallsScatterMore(t *testing.T) {
	log := logOf(make([]history.Cast, 200)...)
	tr := wall.Track{}
	for i := range 200 {
		z := 1 - 2*float64(i%2)
		log.Casts[i].WallMM = 6
		if i < 100 {
			log.Casts[i].WallMM, z = 3, 2*z
		}
		log.Casts[i].WallMM *= math.Exp(0.03 * z)
		tr.Casts = append(tr.Casts, wall.TrackCast{Cast: i, Residual: 0.03 * z, Variance: 0.0025})
	}
	tracks := []wall.Track{tr}
	scaled(log, tracks)
	require.InEpsilon(t, 4, tracks[0].Casts[0].Variance/tracks[0].Casts[199].Variance, 0.01, "a reading error of so many mm")
	mean := 0.0
	for _, c := range tracks[0].Casts {
		mean += c.Variance / 200
	}
	require.InEpsilon(t, 0.0025, mean, 0.01)
}

func TestWhatToDo(t *testing.T) {
	thin := make([]float64, 20)
	for i := 12; i < 20; i++ {
		thin[i] = -2
	}
	tr := track(thin...)
	at := func(change func(log *history.Log, tr *wall.Track)) circumstances {
		log := logOf(make([]history.Cast, 20)...)
		own := wall.Track{Casts: append([]wall.TrackCast(nil), tr.Casts...)}
		change(&log, &own)
		return circumstances{log: log, track: own, shifts: shiftsOf([]wall.Track{own}), chart: follow(t, log, own)}
	}
	none := func(*history.Log, *wall.Track) {}
	require.Contains(t, doNext(at(func(log *history.Log, _ *wall.Track) { log.Molds[0].Status = history.StatusRetired })), "none")
	require.Contains(t, doNext(at(func(_ *history.Log, tr *wall.Track) {
		for i := 12; i < 20; i++ {
			tr.Casts[i].Slip = "S9"
		}
	})), "check slip S9")
	require.Contains(t, doNext(at(func(log *history.Log, _ *wall.Track) {
		for i := range log.Casts {
			log.Casts[i].Date = tables.MakeDate(2025, 1, 1) + tables.Date(min(3*i, 24+i))
		}
	})), "rest:")
	few := at(none)
	few.left = tables.RemainingCasts{Mold: "M", RemainingP50: 3}
	require.Contains(t, doNext(few), "retire: about 3")
	only := at(none)
	only.chart.WearLimit = tables.Absent()
	require.Contains(t, doNext(only), "re-dry")
	require.Contains(t, doNext(at(none)), "use it up")
}

func TestTheShelfTellsEveryMoldInUse(t *testing.T) {
	log, walls := studio(1, 30, func(m, n int) float64 {
		if m == 4 && n >= 15 {
			return 0.03
		}
		return 0.004
	})
	log.Molds[2].Status = history.StatusBroken
	ans := Run(log, walls, []tables.RemainingCasts{{Mold: "M-05", RemainingP10: 0, RemainingP50: 2, RemainingP90: 5}}, Defaults())
	require.Len(t, ans.Shelf, 9)
	for _, p := range ans.Shelf {
		switch p.Mold {
		case "M-04":
			require.Equal(t, Flagged, p.Status)
			require.NotEmpty(t, p.DoNext)
		case "M-05":
			require.Equal(t, Closing, p.Status)
		default:
			require.NotEqual(t, Unknown, p.Status)
		}
	}
}

func TestOnsetIsWhereTheLastClimbBegan(t *testing.T) {
	require.Equal(t, 3, onset([]float64{0, 1, 0, 2, 3, 5}))
	require.Equal(t, 0, onset([]float64{4}))
}

func TestNoFitNoWatch(t *testing.T) {
	require.NotEmpty(t, Run(history.Log{}, wall.Answer{}, nil, Defaults()).WhyNot)
}

// limitsFor shares the false flags that are allowed. Thin walls and rejects get
// the limits of their shares; that of wear takes what is left, found on healthy
// molds drawn for just these casts.
func limitsFor(log history.Log, tracks []wall.Track, shifts *slipShifts, set Settings) (limits, error) {
	all := make([]int, len(log.Molds))
	for m := range all {
		all[m] = m
	}
	return limitsOfPart(log, all, part{log: log, of: all}, tracks, shifts, set)
}

// scaled scales the variances of all tracks by what they show themselves.
func scaled(log history.Log, tracks []wall.Track) {
	s := scatterOf(log, tracks)
	for _, t := range tracks {
		s.apply(log, t.Casts)
	}
}

func shiftsOf(tracks []wall.Track) *slipShifts {
	out := newSlipShifts(len(tracks))
	for m, t := range tracks {
		out.hear(m, t.Casts)
	}
	out.variance = out.between()
	return out
}
