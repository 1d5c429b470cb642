package life

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

func shelf(molds ...history.Mold) history.Log { return history.Log{Molds: molds} }

func mold(name string, age int, status, reason string) history.Mold {
	return history.Mold{Mold: name, Form: "cup", Kind: "split", Age: age, Status: status, EndReason: reason}
}

func TestWithoutAnEndedMoldThePriorSpeaksAndSaysSo(t *testing.T) {
	ans := Run(shelf(mold("A", 3, history.StatusInUse, "")), tables.Studio{}, wall.Answer{}, Defaults(), 1)
	require.Empty(t, ans.WhyNot)
	require.Len(t, ans.Remaining, 1)
	r := ans.Remaining[0]
	require.Contains(t, r.Basis, "common practice")
	require.Equal(t, CauseWorn, r.LikelyCause)
	// A split mold makes 20 to 50 casts (common practice, no source); this one made three.
	require.InDelta(t, 27, r.RemainingP50, 8)
	require.Less(t, r.RemainingP10, r.RemainingP50)
	require.Less(t, r.RemainingP50, r.RemainingP90)
	require.GreaterOrEqual(t, r.Survive5, r.Survive10)
	require.GreaterOrEqual(t, r.Survive10, r.Survive20)
	require.InDelta(t, 1, ans.Fits[0].PriorWeight, 0.1)
}

func TestManyEndedMoldsOutweighThePrior(t *testing.T) {
	var molds []history.Mold
	for i := range 60 {
		molds = append(molds, mold(fmt.Sprint("E", i), 80+i%20, history.StatusRetired, "worn"))
	}
	molds = append(molds, mold("A", 0, history.StatusInUse, ""))
	ans := Run(shelf(molds...), tables.Studio{}, wall.Answer{}, Defaults(), 1)
	require.Less(t, ans.Fits[0].PriorWeight, 0.1)
	require.EqualValues(t, 60, ans.Fits[0].Ended)
	require.InDelta(t, 90, ans.Remaining[len(ans.Remaining)-1].RemainingP50, 6)
	require.Len(t, ans.Remaining, 1, "ended molds have no remaining casts")
}

func TestSlowAndOtherEndsAreCensored(t *testing.T) {
	ans := Run(shelf(mold("A", 30, history.StatusRetired, "slow"), mold("B", 30, history.StatusRetired, "other"),
		mold("C", 30, history.StatusBroken, ""), mold("D", 30, history.StatusRetired, "chipped")), tables.Studio{}, wall.Answer{}, Defaults(), 1)
	require.EqualValues(t, 2, ans.Fits[0].Ended)
	require.EqualValues(t, 2, ans.Fits[0].InUse)
}

// A mold that came into view at age 40 must not make its kind look long-lived:
// it could only be seen because it lived that long.
func TestMoldsOlderThanTheLogAreTruncated(t *testing.T) {
	var molds []history.Mold
	for i := range 12 {
		molds = append(molds, mold(fmt.Sprint("E", i), 25+i, history.StatusRetired, "worn"))
	}
	short := Run(shelf(molds...), tables.Studio{}, wall.Answer{}, Defaults(), 1).Fits[0].Scale
	old := mold("old", 60, history.StatusInUse, "")
	naive := Run(shelf(append(molds, old)...), tables.Studio{}, wall.Answer{}, Defaults(), 1).Fits[0].Scale
	old.BeforeLog = 59
	seen := Run(shelf(append(molds, old)...), tables.Studio{}, wall.Answer{}, Defaults(), 1).Fits[0].Scale
	require.Greater(t, naive, seen)
	require.Greater(t, seen, short*0.98)
}

// Fast molds pull up the wear that factors are measured by. That changes the
// factors, and must not change what is said of the molds.
func TestTheScaleOfFactorsTellsNothing(t *testing.T) {
	of := func(scale float64) (wear, []seenWear) {
		var all []seenWear
		for i := range 20 {
			f := 0.8 + 0.02*float64(i)
			if i < 2 {
				f = 2.4
			}
			all = append(all, seenWear{kind: "split", f: scale * f, v: 0.01 * scale * scale, informed: true})
		}
		return learnWear(all), all
	}
	one, _ := of(1)
	pulled, seen := of(0.6)
	require.InEpsilon(t, 0.6*one.middle["split"], pulled.middle["split"], 0.01)
	require.InEpsilon(t, one.spread, pulled.spread, 0.01)
	require.InEpsilon(t, one.fast, pulled.fast, 0.01)
	require.Greater(t, pulled.chanceFast(seen[0]), 0.95)
}

func TestFewFastMoldsDoNotMakeAllFast(t *testing.T) {
	var all []seenWear
	for i := range 20 {
		f := 0.8 + 0.02*float64(i)
		if i < 2 {
			f = 2.4
		}
		all = append(all, seenWear{kind: "split", f: f, v: 0.01, informed: true})
	}
	w := learnWear(all)
	require.InDelta(t, 1.0, w.middle["split"], 0.05)
	require.InDelta(t, 0.1, w.fast, 0.03)
	require.Greater(t, w.chanceFast(all[0]), 0.95)
	require.Less(t, w.chanceFast(all[10]), 0.01)
}

func TestRejectsThatRiseWithAgeEndAMold(t *testing.T) {
	require.Nil(t, faultsOf(shelf(mold("A", 3, history.StatusInUse, "")), []int{0}), "no results logged")
	log := shelf(mold("A", 60, history.StatusInUse, ""))
	log.Molds[0].Last = 60
	for n := range 60 {
		result := "good"
		if n > 20 && n%2 == 0 {
			result = "reject"
		}
		log.Casts = append(log.Casts, history.Cast{Age: int32(n), Result: history.ResultOf(result), WallMM: math.NaN(), DwellMin: math.NaN()})
	}
	r := Run(log, tables.Studio{}, wall.Answer{}, Defaults(), 1).Remaining[0]
	require.Equal(t, CauseFaults, r.LikelyCause)
	require.InDelta(t, 1, r.ChanceSlow+r.ChanceWorn+r.ChanceFaults, 1e-12)
	for i := range log.Casts {
		log.Casts[i].Result = history.Good
	}
	r = Run(log, tables.Studio{}, wall.Answer{}, Defaults(), 1).Remaining[0]
	require.Equal(t, CauseWorn, r.LikelyCause)
	require.Less(t, r.ChanceFaults, 0.1)
}

func TestForecastsRepeatAndDoNotDependOnOtherMolds(t *testing.T) {
	a, b := mold("A", 10, history.StatusInUse, ""), mold("B", 20, history.StatusInUse, "")
	one := Run(shelf(a, b), tables.Studio{}, wall.Answer{}, Defaults(), 7)
	two := Run(shelf(b, a), tables.Studio{}, wall.Answer{}, Defaults(), 7)
	require.Equal(t, fmt.Sprint(one.Remaining[0]), fmt.Sprint(two.Remaining[1])) // as text: absent numbers do not equal themselves
	require.Equal(t, one.Draws[0], two.Draws[1])
}

// studioOf invents a log of walls by the filtration law: one mold each of so many
// casts.
func studioOf(casts ...int) tables.Studio {
	rng := generator(5, "studio")
	no := tables.Absent()
	var molds []tables.Mold
	var rows []tables.Cast
	for m, n := range casts {
		name := fmt.Sprint("M", m)
		molds = append(molds, tables.Mold{Mold: name, Form: "cup", Kind: "split", CastsBeforeLog: tables.NoCount, InService: tables.NoDate, EndedOn: tables.NoDate})
		for i := range n {
			w := math.Sqrt(1.3*15) * math.Exp(-0.004*float64(i)+0.03*rng.NormFloat64())
			rows = append(rows, tables.Cast{Mold: name, Date: tables.MakeDate(2025, 1, 1) + tables.Date(i), TimeMin: no, DwellMin: 15, WallsMM: []float64{w},
				DemoldMin: no, MoldMassKg: no, RoomC: no, RoomHumidity: no})
		}
	}
	form := tables.Form{Form: "cup", TargetWallMM: 4, WallToleranceMM: 0.5, LongestDwellMin: 20, CastsPerDay: no, RestHours: no,
		PiecesPerKgSlip: no, DryingShrinkage: no, FiringShrinkage: no, TargetFiredWallMM: no}
	return tables.Studio{Molds: tables.FrameOf(molds...), Casts: tables.FrameOf(rows...), Forms: tables.FrameOf(form)}
}

// A studio with a single mold, and one of five molds with two casts each: an
// answer for each mold, its grounds told.
func TestSmallLogsGiveLabelledAnswers(t *testing.T) {
	for _, casts := range [][]int{{20}, {2, 2, 2, 2, 2}, {1}} {
		s := studioOf(casts...)
		log, _ := history.Build(s, tables.NoDate)
		ans := Run(log, s, wall.Run(log, s, wall.Defaults()), Defaults(), 1)
		require.Empty(t, ans.WhyNot)
		require.Len(t, ans.Remaining, len(casts))
		for i, r := range ans.Remaining {
			require.Contains(t, r.Basis, "common practice")
			require.GreaterOrEqual(t, r.RemainingP10, 1.0)
			require.Less(t, r.RemainingP10, r.RemainingP90)
			require.Less(t, r.RemainingP90, 100.0)
			require.InDelta(t, 1, r.ChanceSlow+r.ChanceWorn+r.ChanceFaults, 1e-9)
			require.Len(t, ans.Draws[i], Defaults().Draws)
		}
	}
}

func TestTheFitTellsPriorAndLogApart(t *testing.T) {
	var all []history.Mold
	for i := range 30 {
		all = append(all, mold(fmt.Sprint("E", i), 60+i, history.StatusRetired, "worn"))
	}
	f := Run(shelf(all...), tables.Studio{}, wall.Answer{}, Defaults(), 1).Fits[0]
	shape := math.Sqrt(1.5 * 4)
	require.InDelta(t, math.Sqrt(20*50), f.PriorScale*math.Pow(math.Ln2, 1/shape), 1e-6, "the belief is about the median life")
	require.Less(t, f.PriorScale, f.Scale)
	require.LessOrEqual(t, f.Scale, f.DataScale)
	require.Less(t, f.MedianLower95, f.MedianLife)
	require.Less(t, f.MedianLife, f.MedianUpper95)
	require.Less(t, f.ShapeLower95, f.Shape)
	require.Less(t, f.Scale, f.ScaleUpper95)
	f = Run(shelf(mold("A", 3, history.StatusInUse, "")), tables.Studio{}, wall.Answer{}, Defaults(), 1).Fits[0]
	require.True(t, math.IsNaN(f.DataScale), "no ended mold says nothing by itself")
}

// Split molds of this studio outlive common practice by far; of the one-piece ones
// none has ended yet, and more is expected of them, too, with the weights told.
func TestKindsLeanOnEachOther(t *testing.T) {
	var split []history.Mold
	for i := range 25 {
		split = append(split, mold(fmt.Sprint("E", i), 60+2*i, history.StatusRetired, "worn"))
	}
	one := mold("A", 3, history.StatusInUse, "")
	one.Kind = "one-piece"
	alone := Run(shelf(one), tables.Studio{}, wall.Answer{}, Defaults(), 1)
	both := Run(shelf(append(split, one)...), tables.Studio{}, wall.Answer{}, Defaults(), 1)
	require.Greater(t, both.Fits[0].Scale, 1.1*alone.Fits[0].Scale)
	require.Greater(t, both.Remaining[0].RemainingP50, alone.Remaining[0].RemainingP50)
	require.Zero(t, alone.Fits[0].PoolWeight)
	require.Greater(t, both.Fits[0].PoolWeight, 0.2)
	require.LessOrEqual(t, both.Fits[0].PoolWeight+both.Fits[0].PriorWeight, 1.0)
	require.Less(t, both.Fits[1].PoolWeight+both.Fits[1].PriorWeight, 0.2)
}

func TestNoMolds(t *testing.T) {
	require.NotEmpty(t, Run(history.Log{}, tables.Studio{}, wall.Answer{}, Defaults(), 1).WhyNot)
}
