package pipeline

import (
	"fmt"
	"math"
	"math/rand/v2"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// factory invents a log of about so many casts, some 100 a mold, over so many days: 36
// forms, three kinds, walls by the filtration law with molds that wear at their own
// pace, a batch of slip a week. Molds end worn, broken or slow; some are in use.
func factory(casts, days int) tables.Studio {
	const each, forms = 100, 36
	no := tables.Absent()
	molds := max(8, casts/each)
	start := tables.MakeDate(2016, 1, 4)
	var rows []tables.Cast
	var list []tables.Mold
	for m := range molds {
		rng := rand.New(rand.NewPCG(uint64(m), 21))
		form := m % forms
		kind := []string{"split", "one-piece", "multi-part"}[(m/forms+m)%3]
		wear := 0.02 * math.Exp(0.25*rng.NormFloat64())
		if kind == "split" {
			wear *= 2
		}
		born := start + tables.Date(rng.IntN(days-30))
		mold := tables.Mold{Mold: fmt.Sprintf("M-%06d", m), Form: fmt.Sprintf("form %02d", form), Kind: kind, InService: born, CastsBeforeLog: tables.NoCount, EndedOn: tables.NoDate}
		life := 110 * math.Pow(rng.ExpFloat64(), 1/2.6)
		a, b := 0.8*math.Exp(0.05*rng.NormFloat64())*(0.9+0.2*float64(form%5)/5), 0.0
		day, ended := born, ""
		for age := 0; ended == "" && day < start+tables.Date(days); age++ {
			dwell := math.Round(15 + 3*rng.NormFloat64() + 0.04*float64(age))
			wall := (-b + math.Sqrt(b*b+4*a*dwell)) / (2 * a) * math.Exp(0.03*rng.NormFloat64())
			result := "good"
			if rng.IntN(30) == 0 {
				result = "reject"
			}
			rows = append(rows, tables.Cast{Mold: mold.Mold, Date: day, TimeMin: float64(480 + 60*rng.IntN(8)), Slip: fmt.Sprintf("S-%03d", int(day-start)/7), DwellMin: dwell,
				WallsMM: []float64{math.Round(wall*10) / 10}, DemoldMin: no, MoldMassKg: no, RoomC: no, RoomHumidity: no, Result: result, Age: tables.NoCount})
			b += max(0, wear*(1+0.2*rng.NormFloat64()))
			switch {
			case float64(age) > life:
				ended = []string{"worn", "broken"}[rng.IntN(2)]
			case a*4*4+b*4 > 22 && rng.IntN(3) == 0:
				ended = "slow"
			}
			day += tables.Date(1 + rng.IntN(3))
		}
		if ended != "" {
			mold.Status, mold.EndReason, mold.EndedOn = history.StatusRetired, ended, day
		}
		list = append(list, mold)
	}
	var shapes []tables.Form
	for f := range forms {
		shapes = append(shapes, tables.Form{Form: fmt.Sprintf("form %02d", f), TargetWallMM: 4, WallToleranceMM: 0.5, LongestDwellMin: 22, CastsPerDay: no, RestHours: no,
			PiecesPerKgSlip: no, DryingShrinkage: no, FiringShrinkage: no, TargetFiredWallMM: no})
	}
	return tables.Studio{Molds: tables.FrameOf(list...), Casts: tables.FrameOf(rows...), Forms: tables.FrameOf(shapes...)}
}
