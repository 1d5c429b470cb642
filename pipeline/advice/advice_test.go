package advice

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
)

func form(name string, longest float64) tables.Form {
	no := tables.Absent()
	return tables.Form{Form: name, TargetWallMM: 5, WallToleranceMM: no, LongestDwellMin: longest, CastsPerDay: no, RestHours: no, PiecesPerKgSlip: no, DryingShrinkage: no, FiringShrinkage: no, TargetFiredWallMM: no}
}

func TestTheTooSlowMoldIsNamedFirstWithWhatToDo(t *testing.T) {
	in := Input{
		Studio: tables.Studio{Forms: tables.FrameOf(form("Cup", 40))},
		Log:    history.Log{Molds: []history.Mold{{Mold: "A", Form: "Cup", Status: history.StatusInUse}, {Mold: "B", Form: "Cup", Status: history.StatusInUse}}},
		Wall: wall.Answer{Fitted: true, Guide: []tables.DwellGuide{
			{Mold: "A", TargetWallMM: 5, DwellMin: 22, DwellLower90: 18, DwellUpper90: 27},
			{Mold: "A", AgeCasts: 5, TargetWallMM: 5, DwellMin: 60, DwellLower90: 50, DwellUpper90: 70},
			{Mold: "B", TargetWallMM: 5, DwellMin: 48, DwellLower90: 41, DwellUpper90: 56},
		}},
	}
	items := Items(in)
	require.Equal(t, ForPotter, items[0].For)
	require.True(t, items[0].Urgent)
	require.Contains(t, items[0].Finding, "B now needs 48 min (90 % interval 41 to 56 min)")
	require.NotEmpty(t, items[0].Do)
	require.Contains(t, items[1].Finding, "22 min (A) to 48 min (B)")
	require.Len(t, items, 2, "A will be slow in five casts, not now")
}

func TestWithoutATargetTheNextWallsAreTold(t *testing.T) {
	in := Input{Wall: wall.Answer{Fitted: true, States: []tables.MoldState{
		{Mold: "A", UsualDwellMin: 22, NextWallMM: 4.6, NextWallLower90: 4.3, NextWallUpper90: 5},
		{Mold: "R", UsualDwellMin: 22, NextWallMM: tables.Absent()},
	}}}
	items := Items(in)
	require.Len(t, items, 1)
	require.Contains(t, items[0].Finding, "A 4.6 mm in 22 min (90 % interval 4.3 to 5.0 mm)")
	require.NotContains(t, items[0].Finding, "R")
	require.Contains(t, items[0].Do, "target wall")
}

func TestOrdersAreHeldAgainstRemainingCasts(t *testing.T) {
	due := tables.MakeDate(2025, 12, 1)
	in := Input{
		Studio: tables.Studio{Orders: tables.FrameOf(
			tables.Order{Form: "Cup", Pieces: 30, Due: due, Start: tables.NoDate},
			tables.Order{Form: "Jug", Pieces: 5, Due: due, Start: tables.NoDate},
			tables.Order{Form: "Old", Pieces: 5, Due: tables.MakeDate(2024, 1, 1), Start: tables.NoDate},
		)},
		Log: history.Log{
			AsOf:  tables.MakeDate(2025, 11, 1),
			Molds: []history.Mold{{Mold: "A", Form: "Cup", Status: history.StatusInUse, Last: 4}},
			Casts: []history.Cast{{Result: history.Good}, {Result: history.Good}, {Result: history.Good}, {Result: history.Reject}},
		},
		Life: life.Answer{Remaining: []tables.RemainingCasts{{Mold: "A", Form: "Cup", RemainingP10: 10, RemainingP50: 25, RemainingP90: 60}}},
	}
	items := Items(in)
	require.Len(t, items, 2, "an order due before the report's day is history")
	require.Contains(t, items[0].Finding, "75 % of casts good so far that takes about 40 casts")
	require.Contains(t, items[0].Do, "about 15 casts more")
	require.Contains(t, items[1].Finding, "No mold in use makes it")
}

func TestTheShelfHearsOfFlagsAndEndsOrThatAllIsWell(t *testing.T) {
	in := Input{
		Log:   history.Log{Molds: []history.Mold{{Mold: "A", Status: history.StatusInUse}, {Mold: "R", Status: history.StatusRetired}}},
		Watch: watch.Answer{Molds: []tables.Watch{{Mold: "A", Flagged: true, Evidence: "thin walls"}, {Mold: "R", Flagged: true}}},
		Life:  life.Answer{Remaining: []tables.RemainingCasts{{Mold: "A", Form: "Cup", RemainingP10: 0, RemainingP50: 3, RemainingP90: 8, LikelyCause: "too slow"}}},
	}
	items := Items(in)
	require.Len(t, items, 2, "a retired mold needs no advice")
	require.Contains(t, items[0].Finding, "thin walls")
	require.Contains(t, items[1].Finding, "about 3 casts left (80 % interval 0 to 8 casts)")

	in.Watch.Molds = []tables.Watch{{Mold: "A"}}
	in.Life = life.Answer{}
	items = Items(in)
	require.Len(t, items, 1)
	require.False(t, items[0].Urgent)
	require.Contains(t, items[0].Finding, "No mold of the 1 with")
}

func TestTheInstructorHearsWhereThePlasterWent(t *testing.T) {
	no := tables.Absent()
	in := Input{Plaster: plaster.Answer{
		BagKg: 25, Priced: true,
		By: []tables.WasteBy{
			{Group: "all", Value: "all", Pours: 35, PlasterKg: 200, WasteKg: 50, WasteShare: .25, Cost: 60},
			{Group: "cause", Value: "left over", WasteKg: 10}, {Group: "cause", Value: "failed mold", WasteKg: 40},
			{Group: "class", Value: "C1", Pours: 10, WasteShare: .4, ShrunkShare: .3, Lower80: .22, Upper80: .38, UsualLower: .1, UsualUpper: .45, Verdict: "usual"},
			{Group: "class", Value: "C2", Pours: 12, WasteShare: .1, ShrunkShare: .18, Lower80: .11, Upper80: .26, UsualLower: .11, UsualUpper: .43, Verdict: "usual"},
			{Group: "class", Value: "C3", Pours: 2, WasteShare: .9, ShrunkShare: .29, Lower80: .15, Upper80: .45, UsualLower: .02, UsualUpper: .95, Verdict: "usual"},
			{Group: "class", Value: "not given", Pours: 9, WasteShare: .8, ShrunkShare: .7, Lower80: .6, Upper80: .8, UsualLower: .1, UsualUpper: .45, Verdict: "above usual"},
		},
		Budget: []tables.Budget{{Class: "all", Period: "2026-01-01 to 2026-06-30", PlasterKgP50: 103.4, PlasterKgP10: 81.2, PlasterKgP90: 124, Bags: 5, CostP50: 93.06, CostP10: 73.1, CostP90: 111.6}},
		WhatIf: []tables.BudgetWhatIf{
			{Change: "halving the spills", SavedKg: 2, SavedCost: no},
			{Change: "halving the failed pours", SavedKg: 20.3, SavedLower80: 8.14, SavedUpper80: 33, SavedCost: 18.3},
		},
		OvermixFor: []tables.OvermixFor{
			{Form: "all", Maker: "all", Pours: 30, UsualOvermixShare: .5}, {Form: "all", Maker: "M1", Pours: 9, UsualOvermixShare: .1, AdvisedOvermixShare: .08},
			{Form: "all", Maker: "M3", Pours: 5, UsualOvermixShare: .27, AdvisedOvermixShare: .08}, {Form: "all", Maker: "M4", Pours: 2, UsualOvermixShare: .4, AdvisedOvermixShare: .08},
		},
		Replay: []tables.OvermixReplay{{Group: "all", Pours: 25, NetSavedKg: 7.87, NetLower80: 4.65, NetUpper80: 11.24}},
	}}
	items := Items(in)
	require.Len(t, items, 5)
	require.Contains(t, items[0].Finding, "failed mold: 40.0 kg")
	require.Equal(t, "No class wastes more than chance explains. To expect, allowing for how few pours there are: 30 % of its plaster for C1 (80 % interval 22 to 38 %), 18 % for C2 (11 to 26 %).", items[1].Finding,
		"two pours are chance, and pours without a class are no class")
	require.Equal(t, "The term 2026-01-01 to 2026-06-30 will take about 100 kg of plaster (80 % interval 81 to 120 kg), about 93 in money (73 to 110).", items[2].Finding)
	require.Equal(t, "Order 5 bags of 25 kg: enough in nine terms of ten. Take off what is in stock.", items[2].Do)
	require.Contains(t, items[3].Finding, "halving the failed pours, about 20 kg in the coming term (80 % interval 8.1 to 33 kg), about 18 in money.")
	require.Contains(t, items[4].Finding, "25 past pours would have taken about 7.9 kg less plaster")
	require.Contains(t, items[4].Finding, "M3 mixes 27 % more than the gaps call for (middle of 5 pours); 8 % would do.")

	in.Plaster.By[3].Verdict = "above usual"
	require.Contains(t, Items(in)[1].Finding, "Class C1 wastes more than chance explains: 40 % of its plaster in 10 pours, where so many pours usually waste 10 to 45 %; expect 30 % (80 % interval 22 to 38 %).")

	in.Plaster.WhatIf, in.Plaster.Replay, in.Plaster.Budget[0].Bags = nil, nil, 1
	items = Items(in)
	require.Len(t, items, 3)
	require.Contains(t, items[2].Do, "Order 1 bag of 25 kg")
}

func TestWhatIsMissingIsSaidWithWhatWouldGiveIt(t *testing.T) {
	missing := NotGiven(Input{
		Wall: wall.Answer{WhyNot: "only 3 casts"}, Life: life.Answer{WhyNot: "no mold"}, Plaster: plaster.Answer{WhyNot: "no pours"},
	})
	require.Len(t, missing, 3)
	for _, m := range missing {
		require.NotEmpty(t, m.Answer)
		require.NotEmpty(t, m.Because)
		require.NotEmpty(t, m.Add)
	}
}
