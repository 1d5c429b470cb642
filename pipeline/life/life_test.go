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

func TestCastsUntilSlowCountsByHand(t *testing.T) {
	lim := limit{wallMM: 5, dwellMin: 40}
	// log wall = log 5 at 40 min and age 10.5; the wall falls with age.
	p := wall.PowerCourse{Exponent: 0.5, Slope: -0.01}
	p.Base = math.Log(5) - 0.5*math.Log(40) + 0.01*10.5
	require.Equal(t, 11.0, castsUntilSlow(p, lim, 0), "ages 0 to 10 are fine")
	require.Equal(t, 1.0, castsUntilSlow(p, lim, 10))
	require.Equal(t, 0.0, castsUntilSlow(p, lim, 11))
	for age := range 20 { // against the definition
		n := 0
		for p.DwellNeeded(5, float64(age+n)) <= 40 {
			n++
		}
		require.Equal(t, float64(n), castsUntilSlow(p, lim, age))
	}
	p.Slope = 0.01
	require.True(t, math.IsInf(castsUntilSlow(p, lim, 30), 1))
}

func TestForecastsRepeatAndDoNotDependOnOtherMolds(t *testing.T) {
	a, b := mold("A", 10, history.StatusInUse, ""), mold("B", 20, history.StatusInUse, "")
	one := Run(shelf(a, b), tables.Studio{}, wall.Answer{}, Defaults(), 7)
	two := Run(shelf(b, a), tables.Studio{}, wall.Answer{}, Defaults(), 7)
	require.Equal(t, one.Remaining[0], two.Remaining[1])
}

func TestNoMolds(t *testing.T) {
	require.NotEmpty(t, Run(history.Log{}, tables.Studio{}, wall.Answer{}, Defaults(), 1).WhyNot)
}

func TestSummaryCountsByHand(t *testing.T) {
	var draws []float64
	for i := range 100 {
		draws = append(draws, float64(i))
	}
	s := summary(draws)
	require.Equal(t, []float64{10, 50, 90}, []float64{s.RemainingP10, s.RemainingP50, s.RemainingP90})
	require.Equal(t, []float64{.95, .9, .8}, []float64{s.Survive5, s.Survive10, s.Survive20})
}
