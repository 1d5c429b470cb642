package wall

import (
	"fmt"
	"math"
	"math/rand/v2"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// invented is a log of about so many casts, some 100 a mold, by the filtration
// law with wetness and slips, 1 % of walls mistyped: data of nobody, to see what a
// log costs and whether a part of it tells what all of it does.
func invented(casts, forms int) (history.Log, tables.Studio) {
	const each = 100
	molds := max(6, casts/each)
	kinds := []string{"split", "one-piece", "multi-part"}
	var log history.Log
	var slips []tables.Slip
	log.Slips = []string{""}
	batches := max(8, min(5000, molds/4))
	for k := range batches {
		rng := rand.New(rand.NewPCG(uint64(k), 9))
		name := fmt.Sprintf("S-%04d", k)
		log.Slips = append(log.Slips, name)
		slips = append(slips, tables.Slip{Slip: name, SpecificGravity: 1.76 + 0.015*rng.NormFloat64(), TemperatureC: 21 + 2*rng.NormFloat64()})
	}
	var shapes []tables.Form
	for f := range forms {
		shapes = append(shapes, tables.Form{Form: fmt.Sprintf("form %02d", f), TargetWallMM: 4 + 0.1*float64(f%9)})
	}
	start := tables.MakeDate(2016, 1, 4)
	log.Casts = make([]history.Cast, 0, molds*each)
	for m := range molds {
		rng := rand.New(rand.NewPCG(uint64(m), 1))
		mold := history.Mold{
			Mold: fmt.Sprintf("M-%06d", m), Form: shapes[m%forms].Form, Kind: kinds[(m/forms+m)%3], Status: history.StatusRetired, EndReason: "worn", First: len(log.Casts),
		}
		a := 0.9 + 0.25*math.Sin(float64(m%forms)) + 0.2
		a *= math.Exp(0.04 * rng.NormFloat64())
		wear := []float64{0.05, 0.02, 0.025}[(m/forms+m)%3] * math.Exp(0.3*rng.NormFloat64()) * (0.3 + 0.3*float64(m%forms%2))
		born := int(float64(m) / float64(molds) * 3500)
		n := each/2 + rng.IntN(each)
		day, hour, carried := start+tables.Date(born), 8.0, 0.0
		for age := range n {
			batch := (int(day-start) + m%3) * batches / 4200 % batches
			wet := carried
			dwell := 15 + 4*rng.NormFloat64() + 0.05*float64(age)
			dwell = math.Max(6, math.Round(dwell*2)/2)
			s := slips[batch]
			logA := math.Log(a) - 5*(s.SpecificGravity-1.76) - 0.02*(s.TemperatureC-21) + 0.12*wet
			wall, _ := seriesWall(math.Exp(logA), wear*float64(age), dwell)
			wall *= math.Exp(0.035 * rng.NormFloat64())
			if rng.IntN(100) == 0 {
				wall *= 10
			}
			result := history.Good
			if rng.IntN(25) == 0 {
				result = history.Reject
			}
			slip := history.NumberOfSlip(batch + 1)
			if rng.IntN(40) == 0 {
				slip = history.SlipNumber{}
			}
			log.Casts = append(log.Casts, history.Cast{
				Row: int32(len(log.Casts)), Mold: int32(m), Age: int32(age), Date: day, TimeMin: float32(hour * 60),
				DwellMin: dwell, WallMM: math.Round(wall*10) / 10, Slip: slip, Result: result,
			})
			gap := 3.0
			if hour > 12 || rng.IntN(2) == 0 {
				gap = 24 - hour + 8 + float64(rng.IntN(3))
				day, hour = day+1, gap-24+hour
			} else {
				hour += gap
			}
			carried = (carried + 1) * math.Exp(-gap/2)
		}
		mold.Last, mold.Age = len(log.Casts), n
		mold.EndedOn = day
		if born > 3350 || m%29 == 0 {
			mold.Status, mold.EndReason, mold.EndedOn = history.StatusInUse, "", tables.NoDate
		}
		log.AsOf = max(log.AsOf, day)
		log.Molds = append(log.Molds, mold)
	}
	return log, tables.Studio{Slips: tables.FrameOf(slips...), Forms: tables.FrameOf(shapes...)}
}
