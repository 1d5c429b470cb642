package charts

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"moldwright/pipeline"
	"moldwright/pipeline/hindcast"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
	"moldwright/reports/internal/planned"
)

// sample is an invented studio's result, large enough that every chart has data.
func sample() pipeline.Result {
	rng := rand.New(rand.NewPCG(7, 11))
	res := pipeline.Result{Settings: pipeline.Defaults()}
	forms := []string{"Tall mug", "Bowl", "Jug", "Tile"}
	for i, form := range forms {
		res.Wall.Curves = append(res.Wall.Curves, sampleCurve(rng, form, 0.8+0.15*float64(i)))
	}
	res.Wall.Curves[3].TargetMM = tables.Absent()
	for i := range 14 {
		mold := fmt.Sprintf("%s %c", forms[i%4], 'A'+i)
		path := samplePath(rng, mold, forms[i%4], i)
		res.Wall.Paths = append(res.Wall.Paths, path)
		for j, age := range path.AgeCasts {
			dwell := 18 + 12*rng.Float64()
			fit := math.Sqrt(path.FitRate[0] * dwell)
			z, weight := rng.NormFloat64(), 1.0
			if i == 3 && j == 5 {
				z, weight = 14, 0.04
			}
			res.Wall.Used = append(res.Wall.Used, tables.CastUsed{
				Mold: mold, AgeCasts: tables.Count(age), DwellMin: dwell, FittedMM: fit, WallMM: fit * math.Exp(0.05*z), ResidualZ: z, Weight: weight,
			})
		}
		if path.InUse {
			res.Life.Remaining = append(res.Life.Remaining, sampleRemaining(rng, mold, forms[i%4], i))
		}
	}
	res.Life.Fits = []tables.LifeFit{{Kind: "split", Ended: 6, InUse: 9}, {Kind: "one-piece", Ended: 2, InUse: 4}}
	res.Life.Curves = []life.Curve{sampleLife("one-piece", 95, []float64{0, 61, 88}), sampleLife("split", 38, []float64{0, 21, 24, 30, 33, 41, 47})}
	res.Life.Causes = []life.Incidence{
		{Kind: "one-piece", Molds: 6, LastCasts: 88.5, Ended: []int{1, 0, 1, 0, 0}, Steps: []life.IncidenceStep{
			{AgeCasts: 61, Share: []float64{0, 0, 0.2, 0, 0}, InUse: 0.8}, {AgeCasts: 88, Share: []float64{0.4, 0, 0.2, 0, 0}, InUse: 0.4}}},
		{Kind: "split", Molds: 15, LastCasts: 47, Ended: []int{2, 2, 1, 1, 0}, Steps: []life.IncidenceStep{
			{AgeCasts: 9, Share: []float64{0, 0.07, 0, 0, 0}, InUse: 0.93}, {AgeCasts: 21, Share: []float64{0, 0.07, 0, 0.08, 0}, InUse: 0.85},
			{AgeCasts: 24, Share: []float64{0.12, 0.07, 0, 0.08, 0}, InUse: 0.73}, {AgeCasts: 30, Share: []float64{0.12, 0.2, 0, 0.08, 0}, InUse: 0.6},
			{AgeCasts: 41, Share: []float64{0.29, 0.2, 0.06, 0.08, 0}, InUse: 0.37}}},
		{Kind: "multi-part", Molds: 3, LastCasts: 30, Ended: make([]int, 5)},
	}
	sampleWatch(rng, &res.Watch)
	sampleHindcast(rand.New(rand.NewPCG(12, 1)), &res.Hindcast)
	samplePlaster(rng, &res.Plaster)
	res.Plan = planned.Answer()
	return res
}

func sampleCurve(rng *rand.Rand, form string, k float64) wall.Curve {
	c := wall.Curve{Form: form, AgeCasts: 23, TargetMM: math.Round(10*math.Sqrt(24*k)) / 10}
	for t := 12.0; t <= 40; t += 0.5 {
		l := math.Sqrt(k * t)
		c.DwellMin, c.WallMM = append(c.DwellMin, t), append(c.WallMM, l)
		c.Lower90, c.Upper90 = append(c.Lower90, 0.86*l), append(c.Upper90, 1.16*l)
	}
	for range 70 {
		t := 12 + 28*rng.Float64()
		c.CastDwellMin, c.CastWallMM = append(c.CastDwellMin, math.Round(t)), append(c.CastWallMM, math.Sqrt(k*t)*math.Exp(0.07*rng.NormFloat64()))
	}
	return c
}

func samplePath(rng *rand.Rand, mold, form string, i int) wall.Path {
	p := wall.Path{Mold: mold, Form: form, InUse: i%5 != 4}
	k, wear := 0.8+0.3*rng.Float64(), 0.003+0.006*rng.Float64()
	last := 18 + 4*i
	for n := range last {
		p.AgeCasts = append(p.AgeCasts, float64(n))
		p.Rate = append(p.Rate, k*math.Exp(-wear*float64(n)+0.1*rng.NormFloat64()))
	}
	for j := range 40 {
		n := float64(last) * float64(j) / 39
		fit := k * math.Exp(-wear*n)
		p.FitAge, p.FitRate = append(p.FitAge, n), append(p.FitRate, fit)
		half := 0.03 + 0.05*math.Abs(n/float64(last)-0.5)
		p.FitLow95, p.FitUp95 = append(p.FitLow95, fit*(1-half)), append(p.FitUp95, fit*(1+half))
	}
	return p
}

func sampleRemaining(rng *rand.Rand, mold, form string, i int) tables.RemainingCasts {
	mid := 4 + 50*rng.Float64()
	return tables.RemainingCasts{
		Mold: mold, Form: form, Kind: "split", RemainingP10: math.Round(mid * 0.4), RemainingP50: math.Round(mid), RemainingP90: math.Round(mid * (1.5 + rng.Float64())),
		LikelyCause: []string{"too slow", "worn or broken"}[i%2],
	}
}

func sampleLife(kind string, scale float64, steps []float64) life.Curve {
	c := life.Curve{Kind: kind, StepAge: steps}
	for i := range steps {
		c.StepShare = append(c.StepShare, 1-float64(i)/float64(len(steps)+1))
	}
	for t := 0.0; t < 2*scale; t++ {
		s := math.Exp(-math.Pow(t/scale, 2.4))
		c.AgeCasts, c.Survival = append(c.AgeCasts, t), append(c.Survival, s)
		c.Lower80, c.Upper80 = append(c.Lower80, math.Pow(s, 1.5)), append(c.Upper80, math.Pow(s, 0.66))
	}
	return c
}

func sampleWatch(rng *rand.Rand, ans *watch.Answer) {
	more := rand.New(rand.NewPCG(13, 1))
	for i, mold := range []string{"Tall mug C", "Jug G", "Bowl N"} {
		c := watch.Chart{Mold: mold, Limit: 4.4, WearLimit: 6.7, RejectLimit: 18}
		if i == 2 {
			c.WearLimit, c.RejectLimit = tables.Absent(), tables.Absent()
		}
		sum := 0.0
		for n := range 40 + 9*i {
			drift := 0.0
			if n > 28 {
				drift = 1.0
			}
			sum = max(0, sum+drift+rng.NormFloat64()-0.5)
			c.AgeCasts, c.Sum = append(c.AgeCasts, float64(n)), append(c.Sum, sum)
			predicted := 4 + 0.4*more.Float64() - 0.01*float64(n)
			c.WallMM, c.PredictedMM = append(c.WallMM, predicted+0.1*more.NormFloat64()-0.1*drift), append(c.PredictedMM, predicted)
			c.Lower90, c.Upper90 = append(c.Lower90, predicted-0.25), append(c.Upper90, predicted+0.25)
			c.Wear = append(c.Wear, 1+sum)
			c.RejectAge, c.Rejects = append(c.RejectAge, float64(n)), append(c.Rejects, math.Mod(float64(n), 12))
		}
		ans.Charts = append(ans.Charts, c)
		ans.Molds = append(ans.Molds, tables.Watch{Mold: mold, Flagged: true, SinceAgeCasts: tables.Count(29 - 40*(i/2))})
	}
	ans.Molds[2].SinceAgeCasts = tables.NoCount
	for i, status := range []string{watch.Flagged, watch.Closing, watch.Fine, watch.Unknown, watch.Fine} {
		p := watch.Place{Mold: fmt.Sprintf("Mold %c", 'A'+i), Form: []string{"bowl", "jug", ""}[i/2], AgeCasts: 9 * i, RemainingP10: 4, RemainingP50: 12, RemainingP90: 30, Status: status}
		if i == 3 {
			p.RemainingP10, p.RemainingP50, p.RemainingP90 = tables.Absent(), tables.Absent(), tables.Absent()
		}
		ans.Shelf = append(ans.Shelf, p)
	}
}

func samplePlaster(rng *rand.Rand, ans *plaster.Answer) {
	causes := map[string]float64{}
	for i := range 58 {
		p := tables.PourWaste{
			Pour: fmt.Sprintf("P%02d", i+1), Date: tables.MakeDate(2025, time.September, 3) + tables.Date(i/2*3),
			PlasterKg: 3 + 3*rng.Float64(),
		}
		p.LeftoverKg, p.TrimmedKg = 0.1+0.6*rng.Float64(), 0.2*rng.Float64()
		if i%7 == 2 {
			p.SpilledKg = 0.5 * rng.Float64()
		}
		p.UnexplainedKg = 0.3 * rng.NormFloat64()
		p.InMoldKg = p.PlasterKg - p.LeftoverKg - p.SpilledKg - p.TrimmedKg - p.UnexplainedKg
		if i%11 == 5 {
			p.FailedKg, p.InMoldKg = p.InMoldKg, 0
		}
		waste := p.PlasterKg - p.InMoldKg
		p.WasteKg, p.WasteLower80, p.WasteUpper80 = waste, max(0, waste-0.25), waste+0.25
		ans.Pours = append(ans.Pours, p)
		causes["failed mold"] += p.FailedKg
		causes["left over"] += p.LeftoverKg
		causes["spilled"] += p.SpilledKg
		causes["trimmed"] += p.TrimmedKg
		causes["unexplained"] += max(p.UnexplainedKg, 0)
	}
	for _, cause := range []string{"failed mold", "left over", "spilled", "trimmed", "unexplained"} {
		ans.By = append(ans.By, tables.WasteBy{Group: "cause", Value: cause, WasteKg: causes[cause], WasteShare: causes[cause] / 260})
	}
	for i, class := range []string{"Beginners autumn", "Molds 2", ""} {
		ans.By = append(ans.By, sampleJudged("class", class, i, "usual"))
		ans.Budget = append(ans.Budget, tables.Budget{Class: class, Period: "2026-01-12 to 2026-05-30", PlasterKgP10: 60 + 10*float64(i), PlasterKgP50: 82 + 11*float64(i), PlasterKgP90: 104 + 15*float64(i), Bags: 5})
	}
	ans.By = append(ans.By, sampleJudged("term", "2025 Jan to Jun", 0, "usual"), sampleJudged("term", "2025 Jul to Dec", 9, "above usual"))
	ans.By = append(ans.By, tables.WasteBy{Group: "all", Value: "all", PlasterKg: 260, WasteKg: 61, WasteShare: 61.0 / 260})
	ans.BagKg = 25
}

func sampleJudged(group, value string, i int, verdict string) tables.WasteBy {
	share := 0.18 + 0.02*float64(i)
	return tables.WasteBy{
		Group: group, Value: value, WasteKg: 12 + 9*float64(i), WasteShare: share, ShrunkShare: share, Lower80: share - 0.05, Upper80: share + 0.06,
		UsualLower: 0.12, UsualUpper: 0.27, Verdict: verdict,
	}
}

func sampleHindcast(rng *rand.Rand, ans *hindcast.Answer) {
	ans.Origins = []tables.Date{tables.MakeDate(2025, time.March, 3), tables.MakeDate(2025, time.June, 3)}
	for i := range 60 {
		w := 3.5 + 2*rng.Float64()
		ans.Walls = append(ans.Walls, hindcast.Wall{Mold: "A", ForecastMM: w, Lower: w - 0.3, Upper: w + 0.3, MeasuredMM: w + 0.2*rng.NormFloat64(), LastMM: w})
		mid := 40 * rng.Float64()
		ans.Lives = append(ans.Lives, hindcast.Life{Mold: "A", P10: mid / 2, P50: mid, P90: 2 * mid, Came: mid * (0.5 + rng.Float64()), Ended: i%3 > 0})
	}
	for _, level := range []float64{0.5, 0.8, 0.9} {
		for _, what := range []string{hindcast.WhatWall, hindcast.WhatLife} {
			ans.Rows = append(ans.Rows, tables.Hindcast{What: what, Level: level, Forecasts: 60, Held: 50, Share: level + 0.02, StdError: 0.05, Factor: 1, Loss: 0.05, Rival: 0.2})
		}
	}
}
