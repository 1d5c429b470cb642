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
	ans := Run(log, walls, Defaults())
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
	ans := Run(log, walls, Defaults())
	require.Equal(t, "M-07", ans.Molds[0].Mold)
	require.True(t, ans.Molds[0].Flagged)
	require.Greater(t, ans.Molds[0].ChanceFastWear, 0.9)
}

// With no mold apart from the others, false flags are rare: by the running sum
// one in 500 casts, at the last cast far fewer.
func TestAHealthyShelfIsMostlyQuiet(t *testing.T) {
	flagged, all := 0, 0
	for seed := range uint64(20) {
		log, walls := studio(100+seed, 25, func(int, int) float64 { return 0.005 })
		for _, w := range Run(log, walls, Defaults()).Molds {
			all++
			if w.Flagged {
				flagged++
			}
		}
	}
	require.Equal(t, 200, all)
	require.LessOrEqual(t, flagged, 12, "of 200 healthy molds")
}

func TestOneMistypedWallFlagsNobody(t *testing.T) {
	var errs []wall.StepError
	for i := range 20 {
		errs = append(errs, wall.StepError{Age: i})
	}
	errs[10].Z = -40
	c := cusum("M", errs, 0.5, 4)
	for _, s := range c.Sum {
		require.Less(t, s, c.Limit)
	}
}

func TestAShiftOfTheSlipIsNoMoldsFault(t *testing.T) {
	errs := make([][]wall.StepError, 6)
	for m := range errs {
		for i := range 20 {
			slip, z := "old", 0.0
			if i >= 10 {
				slip, z = "new", -1.5
			}
			errs[m] = append(errs[m], wall.StepError{Age: i, Slip: slip, Z: z})
		}
	}
	errs[5][15].Z = -4 // this one is the mold's own
	out := withoutShared(errs)
	require.InDelta(t, 0, out[0][5].Z, 0.05)
	require.InDelta(t, -0.25, out[0][15].Z, 0.05, "five molds of ten casts leave a sixth of the shift")
	require.Less(t, out[5][15].Z, -2.5)
	require.Greater(t, cusum("raw", errs[0], 0.5, 4.4).Sum[19], 4.4)
	require.Less(t, cusum("mended", out[0], 0.5, 4.4).Sum[19], 4.4)
}

func TestOnsetIsWhereTheLastClimbBegan(t *testing.T) {
	require.Equal(t, 3, onset([]float64{0, 1, 0, 2, 3, 5}))
	require.Equal(t, 0, onset([]float64{4}))
}

func TestNoFitNoWatch(t *testing.T) {
	require.NotEmpty(t, Run(history.Log{}, wall.Answer{}, Defaults()).WhyNot)
}
