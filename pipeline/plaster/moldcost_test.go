package plaster

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// By hand: two usable molds from 4 + 4 kg, and 6 kg that leaked, are 14 kg at
// 1.5 each; the log has three good casts of four with a result.
func TestWhatMoldsOfAKindCost(t *testing.T) {
	first, second, lost, other := pour("P1", 4), pour("P2", 4), pour("P3", 6), pour("P4", 5)
	lost.Outcome, lost.Mold = "leaked", "M2"
	s := tables.Studio{
		Pours:  tables.FrameOf(first, second, lost, other),
		Molds:  tables.FrameOf(mold("M1", "bowl", "split", "P1", "broken"), mold("M2", "bowl", "split", "P2", "in use"), mold("M3", "cup", "split", "", "in use")),
		Casts:  tables.FrameOf(cast("M1", "good"), cast("M1", "good"), cast("M2", "good"), cast("M2", "reject"), cast("M2", ""), cast("M3", "")),
		Prices: tables.FrameOf(tables.Price{Item: "plaster", Unit: "kg", Price: 1.5, From: tables.NoDate}),
	}
	log, _ := history.Build(s, tables.NoDate)
	a := Run(s, log, Defaults(), log.AsOf)
	require.Len(t, a.MoldCosts, 3)
	require.Equal(t, []string{"all", notGiven, splitMold}, []string{a.MoldCosts[0].Kind, a.MoldCosts[1].Kind, a.MoldCosts[2].Kind})
	split := a.MoldCosts[2]
	require.Equal(t, []tables.Count{2, 3, 1, 3}, []tables.Count{split.Molds, split.Pours, split.FailedPours, split.GoodCasts})
	require.InDelta(t, 14.0/3, split.PlasterPerGoodCast, 1e-12, "the lost pour is charged to the good casts")
	require.InDelta(t, 21.0/3, split.CostPerGoodCast, 1e-12)
	require.InDelta(t, 7, split.PlasterPerMold, 1e-12)
	require.False(t, tables.Has(split.LifeCasts))
	require.InDelta(t, 19, a.MoldCosts[0].PlasterKg, 1e-12)
	require.EqualValues(t, 1, a.MoldCosts[1].Molds, "a good pour without a mold in the log")
	require.False(t, tables.Has(a.MoldCosts[1].PlasterPerGoodCast))

	lives := WithLives(a.MoldCosts, log, []tables.RemainingCasts{{Mold: "M2", Kind: "split", RemainingP50: 37}})
	require.False(t, tables.Has(lives[0].LifeCost), "kinds differ too much for one figure")
	life := lives[2]
	require.InDelta(t, 0.75, life.GoodShare, 1e-12)
	require.InDelta(t, (2+3+37)/2.0, life.LifeCasts, 1e-12, "M3 is in use without a forecast and is left out")
	require.InDelta(t, 7/(0.75*21), life.LifePlaster, 1e-12)
	require.InDelta(t, 1.5*7/(0.75*21), life.LifeCost, 1e-12)
	require.True(t, math.IsNaN(a.MoldCosts[2].LifeCost), "the rows given are left as they are")
}

// By hand: a split mold from 6 kg with two good casts, a one-piece one from 3 kg
// with three; 4.5 kg failed for a mold that nobody named, two thirds of it charged to
// the split one. No plaster is lost on the way.
func TestFailedPoursOfNoMoldAreSharedAmongKinds(t *testing.T) {
	first, second, lost, other := pour("P1", 6), pour("P2", 3), pour("P3", 4.5), pour("P4", 2)
	lost.Outcome, lost.Mold = "broke badly", ""
	s := tables.Studio{
		Pours:  tables.FrameOf(first, second, lost, other),
		Molds:  tables.FrameOf(mold("M1", "bowl", "split", "P1", "in use"), mold("M2", "bowl", "one-piece", "P2", "in use")),
		Casts:  tables.FrameOf(cast("M1", "good"), cast("M1", "good"), cast("M2", "good"), cast("M2", "good"), cast("M2", "good")),
		Prices: tables.FrameOf(tables.Price{Item: "plaster", Unit: "kg", Price: 2, From: tables.NoDate}),
	}
	log, _ := history.Build(s, tables.NoDate)
	a := Run(s, log, Defaults(), log.AsOf)
	sum := 0.0
	for _, r := range a.MoldCosts[1:] {
		switch r.Kind {
		case "split":
			require.InDelta(t, 3, r.SharedKg, 1e-12)
			require.InDelta(t, 9.0/2, r.PlasterPerGoodCast, 1e-12)
			require.InDelta(t, 9, r.CostPerGoodCast, 1e-12)
			require.InDelta(t, 9, r.PlasterPerMold, 1e-12)
			require.InDelta(t, 18, r.CostPerMold, 1e-12)
			sum += r.PlasterPerMold
		case "one-piece":
			require.InDelta(t, 4.5/3, r.PlasterPerGoodCast, 1e-12)
			sum += r.PlasterPerMold
		case notGiven:
			require.InDelta(t, 2, r.PlasterPerMold, 1e-12)
			sum += r.PlasterPerMold
		}
	}
	require.InDelta(t, 15.5, sum, 1e-12)
}
