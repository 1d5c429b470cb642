package plan_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/plan"
	"moldwright/pipeline/tables"
)

// The demo studio has an order well within what its molds have left, and one
// beyond it and due sooner.
func TestTheDemosOrders(t *testing.T) {
	in := demoInput()
	set := plan.Defaults()
	set.Rhythm.StudioCasts = 8 // the log has 2 casts on a working day
	ans := plan.Run(in, set, 1)
	require.Empty(t, ans.WhyNot)
	require.Len(t, ans.Orders, 2)
	well, beyond := ans.Orders[0], ans.Orders[1]
	require.GreaterOrEqual(t, well.ChanceOnTime, 0.9)
	require.EqualValues(t, 0, well.NewMolds)
	require.EqualValues(t, 0, well.ShortP90)
	require.Less(t, beyond.ChanceOnTime, 0.1)
	require.Greater(t, beyond.NewMolds, tables.Count(0))
	require.GreaterOrEqual(t, beyond.ChanceWithNew, 0.9)
	require.True(t, beyond.PourBy >= ans.From && beyond.PourBy < beyond.Due)
	require.Less(t, ans.Simulation.StdError, 0.015)

	plaster := 0.0
	for _, m := range ans.Mix {
		plaster += m.PlasterKg
		require.InDelta(t, float64(m.Molds)*m.PlasterEach, m.PlasterKg, 1e-9)
		require.Greater(t, m.ReadyBy, m.PourBy)
	}
	require.InDelta(t, beyond.PlasterKg, plaster, 1e-9)
	require.InDelta(t, ans.Needs.SlipKg, well.SlipKg+beyond.SlipKg, 1e-6)
	require.Greater(t, ans.Needs.SlipP90Kg, ans.Needs.SlipKg)
}

// The day sheet keeps to the molds' day, their rest and the studio's working
// days, numbers casts without a gap and names a dwell for each.
func TestTheDaySheetKeepsTheRules(t *testing.T) {
	in := demoInput()
	ans := plan.Run(in, plan.Defaults(), 1)
	require.NotEmpty(t, ans.Days)
	age := map[string]tables.Count{}
	for _, r := range in.Life.Remaining {
		age[r.Mold] = r.AgeCasts
	}
	type moldDay struct {
		mold string
		date tables.Date
	}
	most := map[string]int{"bowl": 3, "bottle": 2}
	today, all := map[moldDay]int{}, map[tables.Date]int{}
	last := tables.NoDate
	for _, d := range ans.Days {
		require.GreaterOrEqual(t, d.Date, last)
		last = d.Date
		wd := d.Date.Time().Weekday()
		require.NotContains(t, []int{0, 6}, int(wd))
		key := moldDay{d.Mold, d.Date}
		today[key]++
		all[d.Date]++
		require.EqualValues(t, today[key], d.OfDay)
		require.LessOrEqual(t, today[key], most[d.Form])
		require.Equal(t, age[d.Mold]+1, d.CastNumber)
		age[d.Mold]++
		require.True(t, d.DwellLower90 < d.DwellMin && d.DwellMin < d.DwellUpper90)
		require.True(t, d.ChanceMade >= 0 && d.ChanceMade <= 1)
		for _, m := range ans.Mix {
			require.False(t, d.NewMold && m.Form == d.Form && d.Date < m.PourBy, "%s before it is poured", d.Mold)
		}
	}
	fresh := 0
	for name := range age {
		if strings.HasPrefix(name, "new ") {
			fresh++
		}
	}
	poured := 0
	for _, m := range ans.Mix {
		poured += int(m.Molds)
	}
	require.Greater(t, poured, 0)
	require.Equal(t, poured, fresh, "the molds that the bottles need are on the sheet")
	for date, n := range all {
		require.LessOrEqual(t, n, 7, date)
	}
}

func ask(form string, pieces int, due tables.Date) plan.Request {
	return plan.Request{Form: form, Pieces: pieces, Due: due, Start: tables.NoDate}
}

// Whatever is asked, the answer says plainly what is wrong and what would do.
func TestOddOrdersAreAnsweredPlainly(t *testing.T) {
	in := demoInput()
	from := in.Log.AsOf + 1
	set := plan.Defaults()
	set.Draws = 1000
	set.Compare = false
	late := ask("mug", 5, from+40)
	late.Start = from + 60
	set.Requests = []plan.Request{
		ask("teapot", 10, from+30), ask("mug", 0, from+30), ask("mug", -3, from+30), ask("mug", 5, from-10), late,
		ask("mug", 5, tables.NoDate), ask("mug", int(tables.NoCount), from+30), ask("bowl", 2_000_000, from+30), ask("MUG ", 5, from+30), ask("jug", 400, from+12),
	}
	ans := plan.Run(in, set, 1)
	require.Empty(t, ans.WhyNot)
	says := []string{"no form is called", "0 pieces", "-3 pieces", "it was due on", "after it is due", "no due date", "how many pieces", "more than can be planned", "", "promised"}
	for i, o := range ans.Orders {
		require.EqualValues(t, i+1, o.Order)
		if says[i] == "" {
			require.Empty(t, o.WhyNot)
			require.Equal(t, "mug", o.Form)
			require.Greater(t, o.ChanceOnTime, 0.99)
			continue
		}
		require.Contains(t, o.WhyNot, says[i])
	}
	past := ans.Orders[3]
	require.Equal(t, 0.0, past.ChanceOnTime)
	require.True(t, past.FeasibleBy >= from, past.WhyNot)
	far := ans.Orders[9]
	require.Equal(t, 0.0, far.ChanceOnTime)
	require.Equal(t, tables.NoCount, far.NewMolds)
	require.True(t, !far.FeasibleBy.Valid() || far.FeasibleBy > far.Due)
	t.Log(past.WhyNot)
	t.Log(far.WhyNot)
}

// A form without a mold, and no time to make one.
func TestNoMoldAndNoTimeToMakeOne(t *testing.T) {
	in := demoInput()
	kept := in.Life
	kept.Remaining, kept.Draws = nil, nil
	for i, r := range in.Life.Remaining {
		if r.Form != "jug" {
			kept.Remaining, kept.Draws = append(kept.Remaining, r), append(kept.Draws, in.Life.Draws[i])
		}
	}
	in.Life = kept
	set := plan.Defaults()
	set.Draws, set.Compare = 1000, false
	from := in.Log.AsOf + 1
	set.Requests = []plan.Request{ask("jug", 4, from+4), ask("jug", 4, from+60)}
	ans := plan.Run(in, set, 1)
	soon, later := ans.Orders[0], ans.Orders[1]
	require.EqualValues(t, 0, soon.MoldsInHand)
	require.Contains(t, soon.WhyNot, "no mold in use makes it")
	require.Contains(t, soon.WhyNot, "at the earliest")
	require.Greater(t, soon.FeasibleBy, soon.Due)
	require.Empty(t, later.WhyNot)
	require.Greater(t, later.NewMolds, tables.Count(0))
	require.GreaterOrEqual(t, later.ChanceWithNew, 0.9)
	t.Log(soon.WhyNot)
}

func TestNothingToPlan(t *testing.T) {
	ans := plan.Run(plan.Input{}, plan.Defaults(), 1)
	require.Contains(t, ans.WhyNot, "there is no order")
	set := plan.Defaults()
	set.Requests = []plan.Request{ask("mug", 5, 20000)}
	ans = plan.Run(plan.Input{}, set, 1)
	require.NotEmpty(t, ans.WhyNot)
	require.Contains(t, ans.Orders[0].WhyNot, "no form is called")
}

// A form on the sheet, a start, and nothing else: common practice answers, and
// says that it does.
func TestAStudioWithoutALog(t *testing.T) {
	form := tables.Form{Form: "cup", TargetWallMM: 4, LongestDwellMin: 30, CastsPerDay: tables.Absent(), RestHours: tables.Absent(), PiecesPerKgSlip: tables.Absent(),
		DryingShrinkage: tables.Absent(), FiringShrinkage: tables.Absent(), TargetFiredWallMM: tables.Absent(), WallToleranceMM: tables.Absent()}
	in := plan.Input{Studio: tables.Studio{Forms: tables.FrameOf(form)}}
	in.Log.AsOf = tables.NoDate
	in.Life.WhyNot = "no mold is in the log"
	set := plan.Defaults()
	set.Draws = 1000
	r := ask("cup", 30, 20060)
	r.Start = 20000
	set.Requests = []plan.Request{r}
	ans := plan.Run(in, set, 1)
	require.Empty(t, ans.WhyNot)
	o := ans.Orders[0]
	require.Equal(t, 0.0, o.ChanceOnTime)
	require.Greater(t, o.NewMolds, tables.Count(0))
	require.GreaterOrEqual(t, o.ChanceWithNew, 0.9)
	practice := 0
	for _, a := range ans.Assumed {
		if strings.Contains(a.Basis, "common practice, no source") {
			practice++
		}
	}
	require.Greater(t, practice, 5)
	require.NotEmpty(t, ans.Days)
	for _, d := range ans.Days {
		require.True(t, d.NewMold, "there is no other mold")
		require.False(t, tables.Has(d.DwellMin), "no law, no dwell")
	}
}
