package life

import (
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/logistic"
)

// faults is what the log says of rejects: the log odds that a piece is a reject
// are level + rise·age/faultAge + the mold's own, which is N(0, s²).
type faults struct {
	model *logistic.Model
	unit  map[int]int // of the molds that were learned from and have results
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
	faultBand   = 10 // casts of a mold that are counted together, at their mean age
	faultPoints = 64 // of the posterior
)

// faultsOf fits the casts of some molds whose result was logged; nil where none was.
func faultsOf(log history.Log, learn []int) *faults {
	f := &faults{unit: map[int]int{}}
	var rows []logistic.Row
	for _, m := range learn {
		mold := log.Molds[m]
		counted := faultCounts(log.Casts[mold.First:mold.Last], len(f.unit))
		if len(counted) > 0 {
			f.unit[m] = len(f.unit)
			rows = append(rows, counted...)
		}
	}
	if len(f.unit) == 0 {
		return nil
	}
	model, err := logistic.Fit(rows, len(f.unit), logistic.Options{
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
	for i := range casts {
		c := &casts[i]
		if c.Result == history.NoResult {
			continue
		}
		if b := int(c.Age) / faultBand; b != band || len(rows) == 0 {
			rows, band, ages = append(rows, logistic.Row{Unit: unit, X: []float64{1, 0}}), b, 0
		}
		r := &rows[len(rows)-1]
		r.Trials++
		ages += float64(c.Age)
		r.X[1] = ages / r.Trials / faultAge
		if c.Result == history.Reject {
			r.Events++
		}
	}
	return rows
}

// laws of mold m's own log odds of a reject.
func (f *faults) laws(log history.Log, m int) []logistic.UnitLaw {
	if unit, ok := f.unit[m]; ok {
		return f.model.Unit(unit)
	}
	mold := log.Molds[m]
	return f.model.UnitOf(faultCounts(log.Casts[mold.First:mold.Last], 0))
}

// The chance of too many faults is worked out at casts between which it falls by no
// more than this, and at least so many apart.
const (
	faultFall  = 5e-4
	faultSteps = 8
)

// soundFor are the chances that a mold makes more than 0, 1, … n − 1 casts before its
// chance of a reject exceeds a limit. They never rise, so that those between two that
// hardly differ are on a straight line, as near as they do.
func soundFor(laws []logistic.UnitLaw, age, n int, limit float64) []float64 {
	out := ones(n)
	if len(laws) == 0 || n < 2 {
		return out
	}
	odds := math.Log(limit / (1 - limit))
	at := func(j int) float64 {
		sum := 0.0
		for i := range laws {
			l := &laws[i]
			left := odds - l.Beta[0]
			sum += l.Weight * l.Below(min(left, left-l.Beta[1]/faultAge*float64(age+j)))
		}
		return sum
	}
	out[1] = min(1, at(1)) // some are past the limit from the first
	if n > 2 {
		out[n-1] = min(out[1], at(n-1))
		fillBetween(out, 1, n-1, at)
	}
	return out
}

// fillBetween fills in chances between two that are known.
func fillBetween(out []float64, from, to int, at func(int) float64) {
	if to-from > faultSteps && out[from]-out[to] > faultFall {
		mid := (from + to) / 2
		out[mid] = min(out[from], max(out[to], at(mid)))
		fillBetween(out, from, mid, at)
		fillBetween(out, mid, to, at)
		return
	}
	for j := from + 1; j < to; j++ {
		out[j] = out[from] + (out[to]-out[from])*float64(j-from)/float64(to-from)
	}
}
