package plan

import (
	"math"
	"math/rand/v2"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/logistic"
)

// rejects says how likely a cast gives no piece for an order: a mixed logistic
// model in the mold's age, each mold with its own level, drawn with all its
// uncertainty; beliefs alone where no result was logged.
type rejects struct {
	model *logistic.Model // nil where no result was logged
	drawn []logistic.Drawn
	casts int   // with a result
	of    []int // molds of the log that the model knows, ascending
}

// Beliefs before a log is read, common practice, no source: one piece in thirty of
// a new mold is not good, and fifty casts more do not double that; molds differ by
// about half in log odds.
const (
	rejectAge    = 50.0 // casts to which the rise belongs
	rejectLevel  = -3.4
	rejectLevelS = 1.0
	rejectRise   = 0.5
	rejectRiseS  = 1.0
	rejectMolds  = 0.5
	ageStep      = 10 // casts of a mold that are counted together: their odds hardly differ
)

// rejectPoints are the places of the posterior that draws are taken from.
const rejectPoints = 96

// mostResults is how many casts the model learns from: of a larger log, whole
// molds with about so many. Other molds then are as a new one to it.
const mostResults = 20_000

func learnRejects(whole history.Log, secondsCount bool, draws int, rng *rand.Rand) rejects {
	log, of := whole.Learning(mostResults)
	rows, casts := rejectRows(log, secondsCount)
	out := rejects{casts: casts, of: of}
	if len(rows) > 0 {
		opt := logistic.Options{
			Fixed:  []logistic.Normal{{Mean: rejectLevel, SD: rejectLevelS}, {Mean: rejectRise, SD: rejectRiseS}},
			Spread: logistic.HalfNormal{Scale: rejectMolds},
			Points: rejectPoints,
		}
		if m, err := logistic.Fit(rows, len(log.Molds), opt); err == nil {
			out.model = m
		}
	}
	for range draws {
		if out.model != nil {
			out.drawn = append(out.drawn, out.model.Draw(rng))
			continue
		}
		out.drawn = append(out.drawn, logistic.Drawn{
			Beta:   []float64{rejectLevel + rejectLevelS*rng.NormFloat64(), rejectRise + rejectRiseS*rng.NormFloat64()},
			Spread: rejectMolds * math.Abs(rng.NormFloat64()),
		})
	}
	return out
}

// rejectRows are the casts with a result, those of a mold counted together by age, at
// their mean age. Casts of a mold are in the order of their age.
func rejectRows(log history.Log, secondsCount bool) (rows []logistic.Row, casts int) {
	for m, mold := range log.Molds {
		step, ages := -1, 0.0
		for i := mold.First; i < mold.Last; i++ {
			c := &log.Casts[i]
			if c.Result == history.NoResult {
				continue
			}
			casts++
			if s := int(c.Age) / ageStep; s != step {
				rows, step, ages = append(rows, logistic.Row{Unit: m, X: []float64{1, 0}}), s, 0
			}
			r := &rows[len(rows)-1]
			r.Trials++
			ages += float64(c.Age)
			if c.Result == history.Reject || c.Result == history.Second && !secondsCount {
				r.Events++
			}
			r.X[1] = ages / r.Trials / rejectAge
		}
	}
	return rows, casts
}

// odds of a reject of the mold's next cast in a draw, on the log scale. The level of a
// mold that is not in the log is drawn.
func (r *rejects) odds(draw int, m *mold, rng *rand.Rand) float64 {
	d := &r.drawn[draw]
	own := d.Spread * rng.NormFloat64()
	if i := r.place(m); i >= 0 && i < len(d.Effects) {
		own = d.Effects[i]
	}
	return d.Beta[0] + own + d.Beta[1]/rejectAge*float64(m.age)
}

// often is the chance of a cast that gives no piece from which on every cast is drawn.
const often = 0.3

// cast draws which of a mold's casts from..to−1, counted from its next, give a piece,
// where logOdds are those of a reject of the next, and a share of the good ones is kept
// later on.
//
// Casts that give none are few, so that those between them are stepped over: one comes
// as if each had the largest chance of them all, and is one with the share of that
// which its own chance is (thinning: Lewis & Shedler 1979, Naval Res. Logist. Q. 26;
// from memory).
func (r *rejects) cast(good []uint64, from, to int, logOdds float64, draw int, kept float64, rng *rand.Rand) {
	if from >= to {
		return
	}
	setOnes(good, from, to)
	per := r.drawn[draw].Beta[1] / rejectAge
	lost := func(k int) float64 { return 1 - kept/(1+math.Exp(logOdds+per*float64(k))) }
	first, last := lost(from), lost(to-1)
	most, fewest := max(first, last), min(first, last)
	if !(most > 0) {
		return
	}
	step := 0.0 // casts between two, in the mean
	if most < often {
		step = -1 / math.Log1p(-most)
	}
	for k := from; ; k++ {
		u := rng.Float64()
		if step > 0 {
			next := float64(k) + math.Floor(step*rng.ExpFloat64())
			if !(next < float64(to)) {
				return
			}
			k = int(next)
			u *= most
		}
		if k >= to {
			return
		}
		if u < fewest || u < lost(k) {
			good[k>>6] &^= 1 << (k & 63)
		}
	}
}

// setOnes sets the bits from..to−1.
func setOnes(words []uint64, from, to int) {
	for from < to {
		n := min(64-from&63, to-from)
		words[from>>6] |= ^uint64(0) >> (64 - n) << (from & 63)
		from += n
	}
}

// expected is the posterior chance that the mold's next cast gives no piece.
func (r *rejects) expected(m *mold) float64 {
	sum, place := 0.0, r.place(m)
	for d := range r.drawn {
		own := 0.0
		if place >= 0 && place < len(r.drawn[d].Effects) {
			own = r.drawn[d].Effects[place]
		}
		b := r.drawn[d].Beta
		sum += 1 / (1 + math.Exp(-(b[0] + own + b[1]*float64(m.age)/rejectAge)))
	}
	return sum / float64(len(r.drawn))
}

// place is where the model keeps a mold, −1 where it does not know it.
func (r *rejects) place(m *mold) int {
	if i, ok := slices.BinarySearch(r.of, m.index); ok {
		return i
	}
	return -1
}
