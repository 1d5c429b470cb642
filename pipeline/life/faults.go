package life

import (
	"math"
	"math/rand/v2"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/logistic"
)

// faults is what the log says of rejects: the log odds that a piece is a reject
// are level + rise·age/faultAge + the mold's own, which is N(0, s²).
type faults struct {
	model *logistic.Model
	unit  []int // of each mold of the log; −1 for one without results
}

// Beliefs before a log is read, common practice, no source: one piece in thirty of
// a new mold is a reject, and ten casts more change little; molds differ by less
// than a factor of two or so.
const (
	faultAge    = 50.0
	faultLevel  = -3.4
	levelSpread = 1.0
	faultRise   = 0.5
	riseSpread  = 1.0
	moldFaults  = 0.5
)

const (
	faultBand   = 5  // casts of a mold that are counted together, at their mean age
	faultPoints = 64 // of the posterior
)

// faultsOf fits the casts whose result was logged; nil where none was.
func faultsOf(log history.Log) *faults {
	f := &faults{unit: make([]int, len(log.Molds))}
	units := 0
	var rows []logistic.Row
	for m, mold := range log.Molds {
		counted := faultCounts(log.Casts[mold.First:mold.Last], units)
		f.unit[m] = -1
		if len(counted) > 0 {
			f.unit[m] = units
			rows = append(rows, counted...)
			units++
		}
	}
	if units == 0 {
		return nil
	}
	model, err := logistic.Fit(rows, units, logistic.Options{
		Fixed:  []logistic.Normal{{Mean: faultLevel, SD: levelSpread}, {Mean: faultRise, SD: riseSpread}},
		Spread: logistic.HalfNormal{Scale: moldFaults}, Points: faultPoints,
	})
	if err != nil {
		return nil // does not happen: with beliefs in all of it any counts have an answer
	}
	f.model = model
	return f
}

// faultCounts are rejects and pieces of one mold by bands of age.
func faultCounts(casts []history.Cast, unit int) []logistic.Row {
	var rows []logistic.Row
	var ages float64
	band := -1
	for _, c := range casts {
		if c.Result == history.NoResult {
			continue
		}
		if b := int(c.Age) / faultBand; b != band || len(rows) == 0 {
			rows, band, ages = append(rows, logistic.Row{Unit: unit}), b, 0
		}
		r := &rows[len(rows)-1]
		r.Trials++
		ages += float64(c.Age)
		r.X = []float64{1, ages / r.Trials / faultAge}
		if c.Result == history.Reject {
			r.Events++
		}
	}
	return rows
}

// draw is the age from which mold m's chance of a reject exceeds a limit; −1 is a
// mold not in the log.
func (f *faults) draw(m int, limit float64, rng *rand.Rand) float64 {
	unit := -1
	if m >= 0 {
		unit = f.unit[m]
	}
	beta, own := f.model.DrawUnit(unit, rng)
	left := math.Log(limit/(1-limit)) - beta[0] - own
	rise := beta[1] / faultAge
	switch {
	case left < 0:
		return 0
	case rise <= 0:
		return math.Inf(1)
	}
	return math.Ceil(left / rise)
}
