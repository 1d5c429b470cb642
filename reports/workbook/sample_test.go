package workbook

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

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
	"moldwright/reports/internal/planned"
)

// sample is a result like that of a small studio, all invented: 14 molds of three
// forms, 300 casts, 35 pours of two classes.
func sample() pipeline.Result {
	rng := rand.New(rand.NewPCG(7, 7))
	res := pipeline.Result{Settings: pipeline.Defaults()}
	res.Settings.AsOf = tables.MakeDate(2026, time.March, 14)
	res.Reading = sampleReading()
	res.Log = history.Log{AsOf: res.Settings.AsOf}
	res.Studio.Forms = tables.FrameOf(
		tables.Form{Form: "mug", TargetWallMM: 4.0, LongestDwellMin: 45},
		tables.Form{Form: "bowl", TargetWallMM: 5.0, LongestDwellMin: 60},
		tables.Form{Form: "tall vase", TargetWallMM: 4.5, LongestDwellMin: tables.Absent()},
	)
	res.Wall, res.Life, res.Watch = sampleMolds(rng)
	res.Hindcast = hindcast.Answer{
		Rows: []tables.Hindcast{
			{What: hindcast.WhatWall, Level: 0.9, Forecasts: 240, Held: 212, Share: 212.0 / 240, StdError: 0.02, Factor: 1, Loss: 0.04, Rival: 0.21},
			{What: hindcast.WhatLife, Level: 0.8, Forecasts: 31, Held: 24, Share: 0.77, StdError: 0.11, Factor: 1.24, Loss: 3.1, Rival: 5.2, Undecided: 44},
		},
		Notes: []string{"At 8 past dates the log was cut to what was known then."},
	}
	res.Plaster = samplePlaster(rng)
	res.Plan = planned.Answer()
	res.Problems = []tables.Problem{
		{File: "log.xlsx", Sheet: "Casts", Cell: "F12", Code: "no-number", Severity: tables.SetAside, Value: "4,o", Message: "the wall is not a number", Mend: "type the wall in mm, for example 4.0"},
		{File: "log.xlsx", Sheet: "Pours", Cell: "D7", Code: "unit-guessed", Severity: tables.Notice, Value: "12 lb", Message: "the header says kg and the cell says lb; the cell was believed", Mend: "look whether it was 12 lb"},
	}
	res.Advice = sampleAdvice()
	res.NotGiven = []advice.Missing{{Answer: "when a tall vase mold becomes too slow", Because: "the form has no longest dwell", Add: "longest_dwell on the forms sheet: the dwell past which you would retire a mold"}}
	res.Cautions = pipeline.Cautions()
	return res
}

func sampleReading() ingest.Reading {
	return ingest.Reading{Files: []ingest.File{
		{Name: "log.xlsx", Sheets: []ingest.Sheet{
			{Name: "Casts", Table: "casts", HeaderRow: 2, RowsRead: 304, RowsUsed: 300, RowsAside: 2, RowsNoData: 2},
			{Name: "Molds", Table: "molds", HeaderRow: 1, RowsRead: 15, RowsUsed: 14, RowsNoData: 1},
			{Name: "Shopping", RowsRead: 8, RowsNoData: 8, Why: "no column of any table stands in its header"},
		}},
		{Name: "plaster.csv", Sheets: []ingest.Sheet{{Table: "pours", HeaderRow: 1, RowsRead: 36, RowsUsed: 35, RowsNoData: 1}}},
		{Name: "old.xlsx", Unreadable: "the file is not a workbook: open it in your spreadsheet program and save it again as .xlsx"},
	}}
}

func sampleMolds(rng *rand.Rand) (wall.Answer, life.Answer, watch.Answer) {
	w := wall.Answer{
		Fitted: true, Chosen: wall.Parabolic, ChosenBy: "its AICc is lower by 1.3 and it is the simpler law", Exponent: 0.5, Sigma: 0.041,
		Candidates: []wall.Candidate{
			{Law: wall.Parabolic, AICc: -1022.31, LeftOut: 0.0612, Chosen: true, Criteria: "AICc by maximum likelihood on the same casts"},
			{Law: wall.Power, AICc: -1021.02, LeftOut: 0.0615, Criteria: "AICc by maximum likelihood on the same casts"},
		},
		Terms: []tables.WallFit{
			{Model: wall.Parabolic + " (chosen)", Term: "form mug", Estimate: -0.0713, StdError: 0.0211, Lower95: -0.1126, Upper95: -0.0299},
			{Model: wall.Parabolic + " (chosen)", Term: "age, split", Estimate: -0.00412, StdError: 0.00051, Lower95: -0.00512, Upper95: -0.00312},
			{Model: wall.Parabolic + " (chosen)", Term: "exponent of dwell (fixed)", Estimate: 0.5, StdError: math.NaN(), Lower95: math.NaN(), Upper95: math.NaN()},
		},
		Dropped: []string{"slip specific gravity is not in the model: it needs 3 different values and 80 % of the casts with a known one"},
	}
	l := life.Answer{
		Fits: []tables.LifeFit{{Kind: "split", Shape: 3.1, Scale: 41.2, ShapeSE: 0.9, ScaleSE: 5.3, Ended: 4, InUse: 8, PriorWeight: 0.31}, {Kind: "multi-part", Shape: 2.8, Scale: 104, ShapeSE: 1.1, ScaleSE: 21, Ended: 0, InUse: 2, PriorWeight: 0.94}},
		Causes: []life.Incidence{{Kind: "split", Molds: 12, LastCasts: 52, Ended: []int{2, 1, 1, 0, 0}, Steps: []life.IncidenceStep{
			{AgeCasts: 9, AtRisk: 12, Ended: []int{0, 1, 0, 0, 0}, Share: []float64{0, 0.08, 0, 0, 0}, Lower95: []float64{0, 0.01, 0, 0, 0}, Upper95: []float64{0, 0.3, 0, 0, 0}, InUse: 0.92},
			{AgeCasts: 31, AtRisk: 8, Ended: []int{1, 0, 1, 0, 0}, Share: []float64{0.12, 0.08, 0.12, 0, 0}, Lower95: []float64{0.01, 0.01, 0.01, 0, 0}, Upper95: []float64{0.4, 0.3, 0.4, 0, 0}, InUse: 0.68},
			{AgeCasts: 44, AtRisk: 4, Ended: []int{1, 0, 0, 0, 0}, Share: []float64{0.29, 0.08, 0.12, 0, 0}, Lower95: []float64{0.06, 0.01, 0.01, 0, 0}, Upper95: []float64{0.6, 0.3, 0.4, 0, 0}, InUse: 0.51}}}},
		Notes: []string{"Lives: Weibull law in casts, by kind, with a weak prior from common practice (split: 20 to 50 casts; conventional: about 100; no source)."},
	}
	wa := watch.Answer{Notes: []string{"A healthy mold raises a false flag once in about 500 casts."}}
	forms, kinds := []string{"mug", "bowl", "tall vase"}, []string{"split", "split", "multi-part"}
	for i := range 14 {
		s := sampleState(i, forms[i%3], kinds[i%3], rng)
		w.States = append(w.States, s)
		wa.Molds = append(wa.Molds, tables.Watch{Mold: s.Mold, Flagged: i == 0, SinceAgeCasts: since(i), Evidence: evidence(i), ChanceFastWear: []float64{0.998, 0.31, 0.002}[i%3], FalseAlarmCasts: 500, RejectEvidence: "no more than usual", DoNext: doNext(i)})
		if s.Status != inUse {
			continue
		}
		left := 2 + float64(i*i)/2
		l.Remaining = append(l.Remaining, tables.RemainingCasts{Mold: s.Mold, Form: s.Form, Kind: s.Kind, AgeCasts: s.AgeCasts,
			RemainingP10: math.Floor(left / 3), RemainingP50: math.Floor(left), RemainingP90: math.Floor(left * 2.2),
			Survive5: 1 - math.Exp(-left/5), Survive10: 1 - math.Exp(-left/12), Survive20: 1 - math.Exp(-left/30), LikelyCause: []string{"too slow", "worn or broken"}[i%2], Basis: "its own wall path; lives of 4 ended split molds"})
		for step := range 7 {
			d := s.UsualDwellMin * (1 + 0.05*float64(step))
			target := 4 + float64(i%3)/2 // by the parabolic law, its range uneven
			w.Guide = append(w.Guide, tables.DwellGuide{Mold: s.Mold, AgeCasts: s.AgeCasts + tables.Count(5*step), TargetWallMM: target, DwellMin: d, DwellLower90: d * 0.85, DwellUpper90: d * 1.2,
				LawA: d / (target * target), LawPower: 2, SpreadLower: -math.Log(0.85) / 2, SpreadUpper: math.Log(1.2) / 2})
		}
	}
	for i := range 300 {
		d := 15 + 25*rng.Float64()
		u := tables.CastUsed{File: "log.xlsx", Sheet: "Casts", Row: tables.Count(i + 3), Mold: w.States[i%14].Mold, Date: tables.MakeDate(2025, time.September, 1+i/2), AgeCasts: tables.Count(i / 14), DwellMin: d, WallMM: math.Sqrt(0.6*d) * (1 + 0.04*rng.NormFloat64()), FittedMM: math.Sqrt(0.6 * d), ResidualZ: rng.NormFloat64(), Weight: 1}
		if i == 17 {
			u.WallMM, u.ResidualZ, u.Weight = 42, 58.1, 0.003
		}
		w.Used = append(w.Used, u)
	}
	return w, l, wa
}

func sampleState(i int, form, kind string, rng *rand.Rand) tables.MoldState {
	s := tables.MoldState{
		Mold: fmt.Sprintf("M-%02d", i+1), Form: form, Kind: kind, Status: inUse, AgeCasts: tables.Count(4 + 3*i), UsualDwellMin: 8 + 3*float64(i),
		RateMM2PerMin: 0.9 - 0.02*float64(i), WearPerCast: 0.004 + 0.002*rng.NormFloat64(), NextWallMM: 4.1 + 0.1*float64(i%5),
	}
	s.WearLower95, s.WearUpper95 = s.WearPerCast-0.002, s.WearPerCast+0.002
	s.NextWallLower90, s.NextWallUpper90 = s.NextWallMM*0.92, s.NextWallMM*1.08
	if i%5 == 4 {
		s.Status, s.NextWallMM, s.NextWallLower90, s.NextWallUpper90 = "retired", math.NaN(), math.NaN(), math.NaN()
	}
	return s
}

func since(i int) tables.Count {
	if i == 0 {
		return 2
	}
	return tables.NoCount
}

func evidence(i int) string {
	if i == 0 {
		return "walls thinner than its own past predicts since cast 3, and a chance of more than 99 % that it wears faster than 1.5 times its kind"
	}
	return "nothing unusual"
}

func samplePlaster(rng *rand.Rand) plaster.Answer {
	p := plaster.Answer{BagKg: 25, PriceKg: 1.15, Priced: true, Notes: []string{"Slurry left over is counted by its dry plaster, in the ratio mixed."}}
	causes := []string{"left over", "spilled or leaked", "trimmed", "lost with a failed mold"}
	for i := range 35 {
		mixed := 4 + 8*rng.Float64()
		row := tables.PourWaste{
			Pour: fmt.Sprintf("P%03d", i+1), Date: tables.MakeDate(2025, time.September, 3+4*i), Class: []string{"C1", "C2"}[i%2], Maker: fmt.Sprintf("K%d", i%6), PlasterKg: mixed,
			NeededKg: mixed * 0.85, LeftoverKg: mixed * 0.08, SpilledKg: 0, TrimmedKg: mixed * 0.03, FailedKg: 0, UnexplainedKg: mixed * 0.01 * rng.NormFloat64(), Consistency: 68 + 6*rng.Float64(), MainCause: causes[i%3],
		}
		row.InMoldKg, row.WasteKg = mixed*0.88, mixed*0.12
		if i%11 == 5 {
			row.InMoldKg, row.WasteKg, row.FailedKg, row.MainCause = 0, mixed, mixed*0.88, causes[3]
		}
		row.WasteLower80, row.WasteUpper80, row.Cost = row.WasteKg*0.8, row.WasteKg*1.2, row.WasteKg*1.15
		p.Pours = append(p.Pours, row)
		p.Cuts = append(p.Cuts, tables.CutDepth{Pour: row.Pour, HeightMM: 20, GapMM: 45, CutMM: 30}, tables.CutDepth{Pour: row.Pour, HeightMM: 60, GapMM: 12, CutMM: 0})
	}
	by := func(group, value string, pours tables.Count, kg, waste float64) {
		p.By = append(p.By, tables.WasteBy{Group: group, Value: value, Pours: pours, PlasterKg: kg, WasteKg: waste, WasteShare: waste / kg, Cost: waste * 1.15, CostPerGoodCast: kg * 1.15 / 300})
	}
	by("all", "all", 35, 281, 55.2)
	by("class", "C1", 18, 150, 22)
	by("class", "C2", 17, 131, 33.2)
	for i, c := range causes {
		by("cause", c, 35, 281, []float64{22, 1.4, 8.1, 23.7}[i])
	}
	p.Overmix = []tables.Overmix{{Form: "mug", EstimateErrorSD: 0.06, AdvisedOvermixShare: 0.09, ChanceShort: 0.041}, {Form: "bowl", EstimateErrorSD: 0.11, AdvisedOvermixShare: 0.17, ChanceShort: 0.05}}
	p.Budget = []tables.Budget{
		{Class: "C1", Period: "2026-03-15 to 2026-09-14", PlasterKgP50: 149, PlasterKgP10: 118, PlasterKgP90: 188, Bags: 8, CostP50: 171.35, CostP10: 135.7, CostP90: 216.2},
		{Class: "all", Period: "2026-03-15 to 2026-09-14", PlasterKgP50: 280, PlasterKgP10: 226, PlasterKgP90: 341, Bags: 14, CostP50: 322},
	}
	p.Budget[1].BagsCost, p.Budget[1].CostP10, p.Budget[1].CostP90, p.Budget[1].PoursP10, p.Budget[1].PoursP50, p.Budget[1].PoursP90, p.Budget[1].Basis = 402.5, 259.9, 392.15, 21, 33, 45, "pours forecast from the log"
	p.Savings = []plaster.Saving{{Change: "half the plaster lost with failed molds", PlasterKg: 11.8, Cost: 13.6}, {Change: "half the plaster left over", PlasterKg: 11, Cost: 12.7}}
	deepenPlaster(&p)
	return p
}

// deepenPlaster adds the tables that look closer.
func deepenPlaster(p *plaster.Answer) {
	for i, r := range p.Pours {
		p.Balances = append(p.Balances, tables.PourBalance{Pour: r.Pour, MixedKg: r.PlasterKg, InMoldKg: r.InMoldKg, LeftoverKg: r.LeftoverKg, TrimmedKg: r.TrimmedKg,
			FailedKg: r.FailedKg, UnexplainedKg: r.UnexplainedKg, UnexplainedLower80: r.UnexplainedKg - 0.05, UnexplainedUpper80: r.UnexplainedKg + 0.05, Known: "both"})
		if i < 20 {
			p.Mixes = append(p.Mixes, tables.Mix{Pour: r.Pour, NeededL: 4.2, NeededLow80: 4, NeededHigh80: 4.4, Basis: "gaps", Consistency: 70, PlasterKg: 3.97, WaterKg: 2.78, PlasterLb: 8.75, WaterLb: 6.13, SetKg: 6.75, DryKg: 4.66})
			p.Masses = append(p.Masses, tables.MoldMass{Mold: fmt.Sprintf("M-%02d", i+1), Pours: r.Pour, SetKg: 6.4, DryKg: 4.5, DryLower80: 4.3, DryUpper80: 4.7, WeighedOn: r.Date + 3, WeighedKg: 5.1, WaterKg: 0.6, WaterLow80: 0.4, WaterHigh80: 0.8, State: "wet"})
		}
	}
	p.Balances[3].UnexplainedKg, p.Balances[3].UnexplainedLower80, p.Balances[3].UnexplainedUpper80 = -0.7, -0.9, -0.5
	p.MoldCosts = []tables.MoldCost{
		{Kind: "all", Molds: 31, Pours: 35, FailedPours: 4, PlasterKg: 281, GoodCasts: 260, PlasterPerGoodCast: 1.08, CostPerGoodCast: 1.24, PlasterPerMold: 9.1, CostPerMold: 10.4, GoodShare: 0.94, LifeCasts: 44, LifePlaster: math.NaN(), LifeCost: math.NaN()},
		{Kind: "multi-part", Molds: 5, Pours: 6, FailedPours: 1, PlasterKg: 52, GoodCasts: 90, PlasterPerGoodCast: 0.58, CostPerGoodCast: 0.66, PlasterPerMold: 10.4, CostPerMold: 12, GoodShare: 0.95, LifeCasts: 90, LifePlaster: 0.12, LifeCost: 0.14},
		{Kind: "split", Molds: 26, Pours: 29, FailedPours: 3, PlasterKg: 229, GoodCasts: 170, PlasterPerGoodCast: 1.35, CostPerGoodCast: 1.55, PlasterPerMold: 8.8, CostPerMold: 10.1, GoodShare: 0.93, LifeCasts: 34, LifePlaster: 0.28, LifeCost: 0.32},
	}
	for i := range p.By {
		if w := &p.By[i]; w.Group == "class" {
			w.ShrunkShare, w.Lower80, w.Upper80, w.UsualLower, w.UsualUpper, w.Verdict = w.WasteShare*0.9, 0.12, 0.27, 0.08, 0.24, []string{"above usual", "usual"}[i%2]
		}
	}
	p.By = append(p.By, tables.WasteBy{Group: "class", Value: "not given", Pours: 2, PlasterKg: 9, WasteKg: 8, WasteShare: 0.9, ShrunkShare: 0.5, Lower80: 0.3, Upper80: 0.7, UsualLower: 0.05, UsualUpper: 0.8, Verdict: "above usual"})
	p.OvermixFor = []tables.OvermixFor{
		{Form: "all", Maker: "all", Pours: 28, EstimateErrorSD: 0.06, AdvisedOvermixShare: 0.09, ChanceShort: 0.04, UsualOvermixShare: 0.12},
		{Form: "mug", Maker: "all", Pours: 12, EstimateErrorSD: 0.06, AdvisedOvermixShare: 0.09, ChanceShort: 0.041, UsualOvermixShare: 0.1},
		{Form: "all", Maker: "K2", Pours: 6, EstimateErrorSD: 0.06, AdvisedOvermixShare: 0.09, ChanceShort: 0.041, UsualOvermixShare: 0.31},
		{Form: "mug", Maker: "K2", Pours: 2, EstimateErrorSD: 0.06, AdvisedOvermixShare: 0.09, ChanceShort: 0.041, UsualOvermixShare: 0.4},
	}
	p.Replay = []tables.OvermixReplay{{Group: "all", Value: "all", Pours: 25, MixedKg: 211, AdvisedKg: 196, SpareSavedKg: 15, Short: 1, ShortAdvised: 0.3, NetSavedKg: 17, NetLower80: 9, NetUpper80: 26, NetSavedCost: 21, CostLower80: 11, CostUpper80: 33}}
	p.WhatIf = []tables.BudgetWhatIf{
		{Change: "halving the failed pours", PlasterKg: 262, SavedKg: 18, Cost: 301.3, SavedCost: 20.7, SavedLower80: 7, SavedUpper80: 31, Basis: "its share of the plaster of 35 pours"},
		{Change: "halving the plaster left over", PlasterKg: 269, SavedKg: 11, Cost: 309.35, SavedCost: 12.65, SavedLower80: 8, SavedUpper80: 14, Basis: "its share of the plaster of 35 pours"},
	}
}

func sampleAdvice() []advice.Item {
	return []advice.Item{
		{For: advice.ForPotter, Finding: "mug: for a wet wall of 4.0 mm the next casts need 8.0 min (M-01) to 44 min (M-13).", Do: "Take each mold's own dwell, with its range, from the dwell guide and tape it to the wall.", Sheet: advice.SheetDwell},
		{For: advice.ForPotter, Urgent: true, Finding: "M-13 now needs 47 min (90 % between 40 to 56 min) for 4.0 mm, past the longest dwell of 45 min.", Do: "Dry it fully and measure one more cast; if that is slow too, retire it.", Sheet: advice.SheetDwell, About: "M-13"},
		{For: advice.ForShelf, Urgent: true, Finding: "M-01 is wearing out early: walls thinner than its own past predicts since cast 3. It loses 0.41 % of wall a cast (95 % between 0.21 to 0.61 %).", Do: "Rest it and dry it fully, then measure three casts. If they are still thin, use it for short runs and pour its replacement.", Sheet: advice.SheetWatch, About: "M-01"},
		{For: advice.ForShelf, Urgent: true, Finding: "M-01 (mug) has about 2 casts left (80 % between 0 to 4 casts). Most likely end: too slow.", Do: "Pour its replacement now; a mold needs 2 to 7 days to dry (common practice).", Sheet: advice.SheetRemaining, About: "M-01"},
		{For: advice.ForInstructor, Finding: "Of 281 kg of plaster mixed in 35 pours, 55.2 kg (20 %) is in no usable mold, worth 63.48. The largest part is lost with a failed mold: 23.7 kg.", Do: "Look at the pours that lost most, and at what they have in common.", Sheet: advice.SheetWaste, About: "all all"},
		{For: advice.ForInstructor, Finding: "2026-03-15 to 2026-09-14 will take about 280 kg of plaster (80 % between 226 to 341 kg), about 322.", Do: "Order 14 bags of 25.0 kg: enough in nine periods of ten.", Sheet: advice.SheetBudget, About: "all"},
	}
}

// samplePictures are plain pictures of the size of real charts, one a section.
func samplePictures(t *testing.T) charts.Drawn {
	t.Helper()
	var pics []charts.Chart
	for _, c := range []charts.Chart{
		{Name: "wall_against_dwell", Title: "How thick a wall does each dwell give?", Section: charts.SectionWall},
		{Name: "rate_against_age", Title: "How fast does each mold still cast?", Section: charts.SectionWall},
		{Name: "lives", Title: "How long do molds of each kind live?", Section: charts.SectionLife},
		{Name: "watch_list", Title: "Which molds are wearing out early?", Section: charts.SectionWatch},
		{Name: "plaster", Title: "Where did the plaster go?", Section: charts.SectionPlaster},
	} {
		img := image.NewRGBA(image.Rect(0, 0, 850, 480))
		for y := range 480 {
			for x := range 850 {
				img.Set(x, y, color.RGBA{uint8(200 + x%40), uint8(210 + y%40), 230, 255})
			}
		}
		var buf bytes.Buffer
		require.NoError(t, png.Encode(&buf, img))
		c.PNG, c.WidthMM, c.HeightMM = buf.Bytes(), 180, 101.6
		c.Alt, c.Note = "Alternative text of "+c.Name+" with “quotes” & <signs>.", "One line on how to read it."
		pics = append(pics, c)
	}
	return pics
}

func doNext(i int) string {
	if i == 0 {
		return "re-dry: dry it out fully and look at the next two walls"
	}
	return ""
}

// sampleOrderAdvice is what the advice says of the first order of the plan.
func sampleOrderAdvice() advice.Item {
	o := planned.Answer().Orders[0]
	return advice.Item{For: advice.ForPotter, Finding: advice.WantedInWords(o, ""), Sheet: advice.SheetDay, About: advice.OrderName(o)}
}
