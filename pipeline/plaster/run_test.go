package plaster

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

func run(t *testing.T, s tables.Studio) Answer {
	t.Helper()
	log, _ := history.Build(s, tables.NoDate)
	return Run(s, log, Defaults(), log.AsOf)
}

func TestOnePour(t *testing.T) {
	p := pour("P1", 4)
	p.LeftoverKg = 0.68
	a := run(t, tables.Studio{Pours: tables.FrameOf(p)})
	require.InDelta(t, 0.40+0.01*4+0.02*3.56, a.Pours[0].WasteKg, 1e-12, "weighed, on bucket and tools, and trimmed off unweighed")
	require.InDelta(t, 0.01*4+0.02*3.56, a.Pours[0].UnexplainedKg, 1e-12)
	require.Equal(t, causeLeftover, a.Pours[0].MainCause)
	require.InDelta(t, 70, a.Pours[0].Consistency, 1e-9)
	require.False(t, a.Priced)
	require.False(t, tables.Has(a.Pours[0].Cost))
	require.Empty(t, a.Problems)
}

func TestNothingToSay(t *testing.T) {
	require.NotEmpty(t, run(t, tables.Studio{}).WhyNot)
	require.NotEmpty(t, Run(tables.Studio{}, history.Log{}, Settings{}, tables.NoDate).WhyNot)
	for _, spoil := range []func(*Settings){
		func(s *Settings) { s.PlasterDensity = math.NaN() }, func(s *Settings) { s.BagKg = 0 }, func(s *Settings) { s.SawMarginMM = -1 },
	} {
		set := Defaults()
		spoil(&set)
		require.NotEmpty(t, Run(tables.Studio{Pours: tables.FrameOf(pour("P1", 4))}, history.Log{}, set, tables.NoDate).WhyNot)
	}
	a := run(t, tables.Studio{Pours: tables.FrameOf(pour("P1", math.NaN()))})
	require.NotEmpty(t, a.WhyNot)
	require.Equal(t, tables.SetAside, a.Problems[0].Severity)
	gapsOnly := run(t, tables.Studio{Gaps: tables.FrameOf(gapRows("P1", 0, 60, 50, 60)...)})
	require.Empty(t, gapsOnly.WhyNot)
	require.Len(t, gapsOnly.Cuts, 2)
}

func mold(name, form, kind, pour, status string) tables.Mold {
	return tables.Mold{Mold: name, Form: form, Kind: kind, Pour: pour, Status: status, InService: tables.NoDate, EndedOn: tables.NoDate, CastsBeforeLog: tables.NoCount}
}

func TestWhichPoursMadeAUsableMold(t *testing.T) {
	bubbles, broke, short, again := pour("P1", 4), pour("P2", 4), pour("P3", 4), pour("P4", 4)
	bubbles.Outcome, broke.Outcome, short.Outcome, short.Mold, again.Mold = "bubbles", "broke badly", "short", "M3", "m3"
	again.LeftoverKg, bubbles.LeftoverKg = 0, 0
	again.Date++
	a := run(t, tables.Studio{
		Pours: tables.FrameOf(bubbles, broke, short, again),
		Molds: tables.FrameOf(mold("M1", "bowl", "split", "P1", "in use"), mold("M2", "cup", "split", "P2", "broken"), mold("M3", "vase", "one-piece", "", "in use")),
	})
	const unweighed = 0.01*4 + 0.02*3.96
	require.InDelta(t, unweighed, a.Pours[0].WasteKg, 1e-12, "bubbles, but in use")
	require.InDelta(t, 4, a.Pours[1].WasteKg, 1e-12, "broke before it made a cast")
	require.InDelta(t, 4, a.Pours[2].WasteKg, 1e-12, "M3 is in use, but from the second pour")
	require.InDelta(t, unweighed, a.Pours[3].WasteKg, 1e-12)
	forms := map[string]float64{}
	for _, r := range a.By {
		if r.Group == "form" {
			forms[r.Value] = r.PlasterKg
		}
	}
	require.Equal(t, map[string]float64{"bowl": 4, "cup": 4, "vase": 8}, forms)
}

func cast(mold, result string) tables.Cast {
	n := tables.Absent()
	return tables.Cast{Mold: mold, Date: tables.MakeDate(2025, 4, 1), Result: result, TimeMin: n, DwellMin: 20, DemoldMin: n, MoldMassKg: n, RoomC: n, RoomHumidity: n}
}

func TestCostPerGoodCast(t *testing.T) {
	first, second := pour("P1", 4), pour("P2", 6)
	first.Class, second.Class, second.Outcome = "A", "A", "leaked"
	s := tables.Studio{
		Pours:  tables.FrameOf(first, second),
		Molds:  tables.FrameOf(mold("M1", "bowl", "split", "P1", "in use")),
		Casts:  tables.FrameOf(cast("M1", "good"), cast("M1", "good"), cast("M1", "reject"), cast("M1", "")),
		Prices: tables.FrameOf(tables.Price{Item: "plaster", Unit: "kg", Price: 1.5, From: tables.NoDate}),
	}
	a := run(t, s)
	require.True(t, a.Priced)
	require.Equal(t, "all", a.By[0].Group)
	require.InDelta(t, 10*1.5/2, a.By[0].CostPerGoodCast, 1e-12, "the lost pour is paid for too")
	require.InDelta(t, 6*1.5, a.By[0].Cost, 1e-12)
	require.InDelta(t, 6.0/6, a.By[0].WasteShare, 1e-12, "the share is of pours whose waste is known")
	s.Casts = tables.Frame[tables.Cast]{}
	require.False(t, tables.Has(run(t, s).By[0].CostPerGoodCast))
}

// invented is a studio of so many pours, some with gaps and weighings, some failed or odd.
func invented(seed uint64, pours int) ([]tables.Pour, []tables.Gap, []tables.Mold) {
	r := rand.New(rand.NewPCG(seed, 1))
	maybe := func(x float64) float64 {
		if r.Float64() < 0.3 {
			return tables.Absent()
		}
		return x
	}
	var ps []tables.Pour
	var gs []tables.Gap
	var ms []tables.Mold
	for i := range pours {
		name := fmt.Sprintf("P%d", i)
		p := in(pour(name, 4.4+0.6*r.Float64()), 200, 50)
		p.Date += tables.Date(r.IntN(500))
		p.Class, p.Maker = []string{"", "a", "A ", "b"}[r.IntN(4)], []string{"x", "y"}[r.IntN(2)]
		p.LeftoverKg, p.SpilledKg, p.TrimmedKg = maybe(r.Float64()), maybe(0.1*r.Float64()), maybe(0.2*r.Float64())
		p.Outcome = []string{"good", "good", "good", "short", "leaked", ""}[r.IntN(6)]
		ps = append(ps, p)
		if r.Float64() < 0.7 {
			gs = append(gs, gapRows(name, 0, 38+4*r.Float64(), 50, 40, 100, 40, 150, 40)...)
		}
		if p.Outcome == "good" {
			ms = append(ms, mold("M"+name, []string{"bowl", "cup"}[r.IntN(2)], []string{"split", ""}[r.IntN(2)], name, "in use"))
		}
	}
	return ps, gs, ms
}

func TestEveryGroupingAddsToTheSame(t *testing.T) {
	ps, gs, ms := invented(4, 200)
	s := tables.Studio{Pours: tables.FrameOf(ps...), Gaps: tables.FrameOf(gs...), Molds: tables.FrameOf(ms...),
		Prices: tables.FrameOf(tables.Price{Item: "plaster", Unit: "25 kg bag", Price: 30, From: tables.NoDate})}
	a := run(t, s)
	require.Empty(t, a.WhyNot)
	type sums struct{ pours, plaster, waste, cost float64 }
	totals := map[string]sums{}
	for _, r := range a.By {
		add := func(x float64) float64 {
			if tables.Has(x) {
				return x
			}
			return 0
		}
		got := totals[r.Group]
		totals[r.Group] = sums{got.pours + float64(r.Pours), got.plaster + add(r.PlasterKg), got.waste + add(r.WasteKg), got.cost + add(r.Cost)}
	}
	all := totals["all"]
	require.InDelta(t, 200, all.pours, 0)
	require.Greater(t, all.waste, 10.0)
	for _, g := range []string{"class", "maker", "form", "kind", "month", "term", "cause"} {
		require.InDelta(t, all.waste, totals[g].waste, 1e-6, g) // a milligram
		require.InDelta(t, all.cost, totals[g].cost, 1e-6, g)
		if g != "cause" {
			require.InDelta(t, all.plaster, totals[g].plaster, 1e-6, g)
			require.Equal(t, all.pours, totals[g].pours, g)
		}
	}
	var byPour float64
	for _, p := range a.Pours {
		byPour += orZero(p.WasteKg)
	}
	require.InDelta(t, all.waste, byPour, 1e-6)
}

func TestSameInputsSameAnswerAndNothingUnfit(t *testing.T) {
	ps, gs, ms := invented(9, 120)
	ps[3].WaterKg, ps[4].WaterKg, ps[5].PlasterKg, ps[6].LeftoverKg = 0, math.NaN(), -2, 1e9
	ps[7].Pour, ps[8].InsideDiameterMM, ps[9].PlasterOverModel = "p2", 10, math.NaN()
	s := tables.Studio{Pours: tables.FrameOf(ps...), Gaps: tables.FrameOf(gs...), Molds: tables.FrameOf(ms...)}
	a := run(t, s)
	require.Equal(t, text(a), text(run(t, s)), "twice the same")
	require.NotEmpty(t, a.Budget)
	require.NotEmpty(t, a.Overmix)
	require.NotEmpty(t, a.Notes)
	for _, n := range a.Notes {
		require.NotRegexp(t, "NaN|Inf|e[+-]", n)
	}
	for _, p := range a.Problems {
		require.NotRegexp(t, "NaN|Inf|[0-9]e[+-]", p.Message+p.Value)
		require.NotEmpty(t, p.Mend)
	}
	for _, r := range a.Pours {
		noInf(t, r)
	}
	for _, r := range a.By {
		noInf(t, r)
	}
	for _, r := range a.Overmix {
		noInf(t, r)
		require.True(t, r.AdvisedOvermixShare >= 0 && r.AdvisedOvermixShare <= mostOvermix && r.ChanceShort >= 0 && r.ChanceShort <= 1)
	}
	backwards := slices.Clone(ps)
	slices.Reverse(backwards)
	b := run(t, tables.Studio{Pours: tables.FrameOf(backwards...), Gaps: s.Gaps, Molds: s.Molds})
	require.InDelta(t, a.By[0].WasteKg, b.By[0].WasteKg, 8, "only the pour entered twice differs")
}

func text(a Answer) string { return fmt.Sprintf("%+v", a) }

func noInf(t *testing.T, row any) {
	t.Helper()
	v := reflect.ValueOf(row)
	for i := range v.NumField() {
		if v.Field(i).Kind() == reflect.Float64 {
			require.False(t, math.IsInf(v.Field(i).Float(), 0), "%s of %+v", v.Type().Field(i).Name, row)
		}
	}
}

func TestPoursAfterTheDayAreLeftOut(t *testing.T) {
	late := pour("P2", 9)
	late.Date += 100
	s := tables.Studio{Pours: tables.FrameOf(pour("P1", 4), late), Gaps: tables.FrameOf(gapRows("P2", 0, 60)...)}
	a := Run(s, history.Log{}, Defaults(), tables.MakeDate(2025, 4, 1))
	require.Len(t, a.Pours, 1)
	require.Empty(t, a.Cuts)
	require.Equal(t, "after-as-of", a.Problems[0].Code)
	require.Len(t, Run(s, history.Log{}, Defaults(), tables.NoDate).Pours, 2)
}

func TestProblemsNameTheCell(t *testing.T) {
	p := pour("P1", -4)
	p.Origin = tables.Origin{Block: 0, Row: 7}
	blocks := tables.Blocks{{File: "log.xlsx", Sheet: "Pours", Columns: []tables.BlockColumn{{Letter: "F", Column: "plaster"}}}}
	a := run(t, tables.Studio{Pours: tables.FrameOf(p), Blocks: blocks})
	require.Equal(t, "log.xlsx", a.Problems[0].File)
	require.Equal(t, "F7", a.Problems[0].Cell)
}

func TestWasteIsThatOfTheWholeAnswer(t *testing.T) {
	ps, gs, ms := invented(9, 60)
	s := tables.Studio{Pours: tables.FrameOf(ps...), Gaps: tables.FrameOf(gs...), Molds: tables.FrameOf(ms...)}
	log, _ := history.Build(s, tables.NoDate)
	all, waste := Run(s, log, Defaults(), log.AsOf), Waste(s, log, Defaults(), log.AsOf)
	require.NotEmpty(t, waste.By)
	require.Equal(t, fmt.Sprint(all.Pours, all.By, all.Cuts), fmt.Sprint(waste.Pours, waste.By, waste.Cuts))
	require.Empty(t, waste.Budget)
	require.NotEmpty(t, Waste(tables.Studio{}, log, Defaults(), log.AsOf).WhyNot)
}
