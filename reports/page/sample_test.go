package page

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgsvg"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/hindcast"
	"moldwright/pipeline/history"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
	"moldwright/reports/charts"
)

// sample is a result as an invented studio's log would give it, built by hand:
// every table of the page has rows, and absent values stand among them.
func sample() pipeline.Result {
	day := tables.MakeDate(2025, 6, 20)
	res := pipeline.Result{Settings: pipeline.Defaults()}
	res.Log.AsOf = day
	res.Reading = ingest.Reading{Files: []ingest.File{
		{Name: "studio-log.xlsx", Sheets: []ingest.Sheet{
			{Name: "Casts", Table: "casts", HeaderRow: 3, RowsRead: 214, RowsUsed: 208, RowsAside: 3, RowsNoData: 3, Columns: []tables.BlockColumn{
				{Letter: "A", Header: "Day", Column: "date"}, {Letter: "D", Header: "Dwell [hh:mm]", Column: "dwell", Unit: "h:mm"}, {Letter: "J", Header: "Glaze"},
			}},
			{Name: "Shopping", RowsRead: 6, RowsNoData: 6, Hidden: true, Why: "no row holds the required columns of a table"},
		}},
		{Name: "old.xls", Unreadable: "this is the format of Excel before 2007: save it as .xlsx"},
	}}
	res.Wall = sampleWall(day)
	res.Life = sampleLife()
	res.Watch = watch.Answer{
		Molds: []tables.Watch{
			{Mold: "M-03", Flagged: true, SinceAgeCasts: 31, Evidence: "its last 9 casts came out thinner than forecast, 6 % on average", ChanceFastWear: 0.94, FalseAlarmCasts: 500, RejectEvidence: "no more than usual", DoNext: "re-dry: dry it out fully and look at the next two walls"},
			{Mold: "M-01", SinceAgeCasts: tables.NoCount, ChanceFastWear: 0.08, FalseAlarmCasts: 500},
		},
		Notes: []string{"all molds shifted together on 2025-05-02, with slip S-14: that is not counted against them"},
	}
	res.Hindcast = hindcast.Answer{
		Origins: []tables.Date{day - 90, day - 40},
		Rows: []tables.Hindcast{
			{What: hindcast.WhatWall, Level: 0.9, Forecasts: 240, Held: 212, Share: 212.0 / 240, StdError: 0.02, Factor: 1, Loss: 0.04, Rival: 0.21},
			{What: hindcast.WhatLife, Level: 0.8, Forecasts: 0, Held: 0, Share: tables.Absent(), StdError: tables.Absent(), Factor: 1, Loss: tables.Absent(), Rival: tables.Absent(), Undecided: 44},
		},
		Notes: []string{"at 2 past dates the log was cut to what was known then"},
	}
	res.Plaster = samplePlaster(day)
	for _, m := range res.Wall.States {
		res.Log.Molds = append(res.Log.Molds, history.Mold{Mold: m.Mold, Form: m.Form, Kind: m.Kind, Status: m.Status, Age: int(m.AgeCasts), EndedOn: tables.NoDate})
	}
	for i := range 57 {
		severity := []string{tables.SetAside, tables.ValueIgnored, tables.Notice}[i%3]
		res.Problems = append(res.Problems, tables.Problem{
			File: "studio-log.xlsx", Sheet: "Casts", Cell: fmt.Sprintf("F%d", 12+i), Code: "not-a-length", Severity: severity, Value: fmt.Sprintf("abt %d", i),
			Message: "the wall is not a number with a unit", Mend: "write the wall in mm, for example 5.2",
		})
	}
	res.Advice = []advice.Item{
		{For: advice.ForPotter, Finding: "mug: for a wet wall of 5.0 mm the next casts need 19 min (M-01) to 27 min (M-03)", Do: "tape the dwell guide to the wall", Sheet: "Dwell guide"},
		{For: advice.ForPotter, Urgent: true, Finding: "M-03 now needs 27 min (90 % between 22 and 33 min), past the longest dwell of 25 min.", Do: "Dry it fully and measure one more cast.", Sheet: "Dwell guide"},
		{For: advice.ForInstructor, Finding: "61 kg of 240 kg is in no usable mold.", Do: "Halve the failed pours first.", Sheet: "Waste"},
	}
	res.NotGiven = []advice.Missing{{Answer: "the effect of slip density", Because: "no batch of slip has a specific gravity", Add: "fill in specific_gravity on the slips sheet"}}
	res.Cautions = pipelineCautions
	return res
}

var pipelineCautions = []string{"Setting plaster heats to about 60 °C: never enclose a hand in it.", "Local codes come first."}

func sampleWall(day tables.Date) wall.Answer {
	a := wall.Answer{
		Fitted: true, Chosen: "free exponent", ChosenBy: "AICc lower by 6.2 than the square-root law", Exponent: 0.53, ExponentSE: 0.012, Sigma: 0.046,
		Candidates: []wall.Candidate{
			{Law: "square root", AICc: -512.4, LeftOut: 0.0612, Criteria: "208 casts of 3 molds"},
			{Law: "free exponent", AICc: -518.6, LeftOut: 0.0598, Chosen: true, Criteria: "208 casts of 3 molds"},
		},
		Terms: []tables.WallFit{
			{Model: "free exponent (chosen)", Term: "log dwell", Estimate: 0.53, StdError: 0.012, Lower95: 0.506, Upper95: 0.554},
			{Model: "free exponent (chosen)", Term: "sd of mold", Estimate: 0.04, StdError: math.NaN(), Lower95: math.NaN(), Upper95: math.NaN()},
		},
		States: []tables.MoldState{
			{Mold: "M-01", Form: "mug", Kind: "split", Status: history.StatusInUse, AgeCasts: 22, RateMM2PerMin: 1.31, WearPerCast: 0.0031, WearLower95: 0.0012, WearUpper95: 0.0049, UsualDwellMin: 20, NextWallMM: 5.12, NextWallLower90: 4.7, NextWallUpper90: 5.6},
			{Mold: "M-02", Form: "mug", Kind: "one-piece", Status: history.StatusBroken, AgeCasts: 41, RateMM2PerMin: 0.9, WearPerCast: 0.004, WearLower95: 0.003, WearUpper95: 0.005, UsualDwellMin: 22, NextWallMM: math.NaN(), NextWallLower90: math.NaN(), NextWallUpper90: math.NaN()},
			{Mold: "M-03", Form: "mug", Kind: "split", Status: history.StatusInUse, AgeCasts: 40, RateMM2PerMin: 0.93, WearPerCast: 0.0093, WearLower95: 0.0071, WearUpper95: 0.0115, UsualDwellMin: 22, NextWallMM: 4.5, NextWallLower90: 4.1, NextWallUpper90: 4.95},
			{Mold: "M-04", Form: "jug", Kind: "unknown", Status: history.StatusInUse, AgeCasts: 0, RateMM2PerMin: math.Inf(1), WearPerCast: math.NaN(), WearLower95: math.NaN(), WearUpper95: math.NaN(), UsualDwellMin: math.NaN(), NextWallMM: math.NaN(), NextWallLower90: math.NaN(), NextWallUpper90: math.NaN()},
		},
		Used: []tables.CastUsed{
			{File: "studio-log.xlsx", Sheet: "Casts", Row: 88, Mold: "M-01", Date: day - 30, AgeCasts: 12, DwellMin: 20, WallMM: 52, FittedMM: 5.2, ResidualZ: 50.1, Weight: 0.01},
			{File: "studio-log.xlsx", Sheet: "Casts", Row: 89, Mold: "M-01", Date: day - 29, AgeCasts: 13, DwellMin: 20, WallMM: 5.1, FittedMM: 5.2, ResidualZ: -0.4, Weight: 1},
		},
		Dropped: []string{"kind × age: one mold of a kind cannot carry it"},
	}
	for step := range 7 {
		for _, m := range []struct {
			mold string
			age  int
			min  float64
		}{{"M-01", 22, 19.2}, {"M-03", 40, 27.4}} {
			d := m.min * (1 + 0.02*float64(step))
			a.Guide = append(a.Guide, tables.DwellGuide{Mold: m.mold, AgeCasts: tables.Count(m.age + 5*step), TargetWallMM: 5, DwellMin: d, DwellLower90: d * 0.85, DwellUpper90: d * 1.18})
		}
	}
	a.Guide[13].DwellMin, a.Guide[13].DwellLower90, a.Guide[13].DwellUpper90 = math.NaN(), math.NaN(), math.NaN()
	return a
}

func sampleLife() life.Answer {
	return life.Answer{
		Fits: []tables.LifeFit{{Kind: "split", Shape: 2.3, Scale: 46, ShapeSE: 0.6, ScaleSE: 7, Ended: 6, InUse: 5, PriorWeight: 0.22}},
		Causes: []life.Incidence{{Kind: "split", Molds: 11, LastCasts: 52, Ended: []int{5, 1, 0, 0, 0}, Steps: []life.IncidenceStep{
			{AgeCasts: 44, AtRisk: 4, Ended: []int{1, 0, 0, 0, 0}, Share: []float64{0.58, 0.09, 0, 0, 0}, Lower95: []float64{0.2, 0.01, 0, 0, 0}, Upper95: []float64{0.8, 0.3, 0, 0, 0}, InUse: 0.33}}}},
		Remaining: []tables.RemainingCasts{
			{Mold: "M-01", Form: "mug", Kind: "split", AgeCasts: 22, RemainingP10: 5, RemainingP50: 19, RemainingP90: 38, Survive5: 0.9, Survive10: 0.76, Survive20: 0.47, LikelyCause: "worn or broken", Basis: "wear and life"},
			{Mold: "M-03", Form: "mug", Kind: "split", AgeCasts: 40, RemainingP10: 0, RemainingP50: 1, RemainingP90: 9, Survive5: 0.21, Survive10: 0.07, Survive20: 0.001, LikelyCause: "too slow", Basis: "wear and life"},
		},
		Notes: []string{"split molds: 20 to 50 casts is common practice, no source"},
	}
}

func samplePlaster(day tables.Date) plaster.Answer {
	a := plaster.Answer{
		Priced: true, BagKg: 25, Notes: []string{"hemihydrate is taken as 2.70 g/cm³"},
		By: []tables.WasteBy{
			{Group: "all", Value: "all", Pours: 15, PlasterKg: 240, WasteKg: 61.2, WasteShare: 0.255, Cost: 78.3, CostPerGoodCast: 0.61},
			{Group: "cause", Value: "left over", Pours: 12, PlasterKg: math.NaN(), WasteKg: 31, WasteShare: 0.129, Cost: 39.7, CostPerGoodCast: math.NaN()},
			{Group: "class", Value: "C-1", Pours: 9, PlasterKg: 140, WasteKg: 44, WasteShare: 0.314, Cost: 56.3, CostPerGoodCast: 0.7},
			{Group: "maker", Value: "K7", Pours: 3, PlasterKg: 40, WasteKg: 4, WasteShare: 0.1, Cost: 5.1, CostPerGoodCast: 0.5},
		},
		Overmix: []tables.Overmix{{Form: "mug", EstimateErrorSD: 0.09, AdvisedOvermixShare: 0.11, ChanceShort: 0.07}},
		Budget:  []tables.Budget{{Class: "all", Period: "2025-09-01 to 2025-12-20", PlasterKgP50: 210, PlasterKgP10: 168, PlasterKgP90: 259, Bags: 11, CostP50: 268.8}},
		Savings: []plaster.Saving{{Change: "half the failed pours", PlasterKg: 14, Cost: 17.9}},
	}
	for i := range 15 {
		pour := fmt.Sprintf("P-%02d", i+1)
		a.Pours = append(a.Pours, tables.PourWaste{
			Pour: pour, Date: day - 150 + tables.Date(i)*10, Class: "C-1", Maker: "K7", PlasterKg: 16, NeededKg: 13.2, InMoldKg: 12.9, WasteKg: 3.1, WasteLower80: 2.6, WasteUpper80: 3.7,
			MainCause: "left over", Cost: 4, UnexplainedKg: -0.2, Consistency: 71.3,
		})
		for h := range 4 {
			a.Cuts = append(a.Cuts, tables.CutDepth{Pour: pour, HeightMM: float64(40 * h), GapMM: 45 - float64(h), CutMM: max(0, 30-10*float64(h))})
		}
	}
	return a
}

// drawn is a chart drawn by the library that draws all charts.
func drawn(t *testing.T, name, section, text string) charts.Chart {
	t.Helper()
	c := vgsvg.NewWith(vgsvg.UseWH(160*vg.Millimeter, 80*vg.Millimeter), vgsvg.EmbedFonts(false))
	var p vg.Path
	p.Move(vg.Point{X: 10, Y: 10})
	p.Line(vg.Point{X: 400, Y: 200})
	c.Stroke(p)
	face := font.NewCache(liberation.Collection()).Lookup(font.Font{Typeface: "Liberation", Variant: "Sans"}, 12)
	c.FillString(face, vg.Point{X: 30, Y: 30}, text)
	var b bytes.Buffer
	_, err := c.WriteTo(&b)
	require.NoError(t, err)
	return charts.Chart{Name: name, Title: "How thick does the wall get?", Alt: "At 20 min the wall is 5.1 mm.", Note: "The band holds nine casts in ten.", Section: section, WidthMM: 160, HeightMM: 80, SVG: b.Bytes()}
}
