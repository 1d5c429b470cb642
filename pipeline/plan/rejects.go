package plan

import (
	"cmp"
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
	ageStep      = 5 // casts of a mold that are counted together
)

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

// rejectRows are the casts with a result, those of a mold counted together by age.
func rejectRows(log history.Log, secondsCount bool) (rows []logistic.Row, casts int) {
	for m, mold := range log.Molds {
		byAge := map[int]*logistic.Row{}
		for _, c := range log.Casts[mold.First:mold.Last] {
			if c.Result == history.NoResult {
				continue
			}
			casts++
			step := int(c.Age) / ageStep
			r := byAge[step]
			if r == nil {
				r = &logistic.Row{Unit: m, X: []float64{1, (float64(step) + 0.5) * ageStep / rejectAge}}
				byAge[step] = r
			}
			r.Trials++
			if c.Result == history.Reject || c.Result == history.Second && !secondsCount {
				r.Events++
			}
		}
		var mine []logistic.Row
		for _, r := range byAge {
			mine = append(mine, *r)
		}
		slices.SortFunc(mine, func(a, b logistic.Row) int { return cmp.Compare(a.X[1], b.X[1]) })
		rows = append(rows, mine...)
	}
	return rows, casts
}

// odds of a reject of the mold's next cast in a draw, and what they grow by with
// each cast. The level of a mold that is not in the log is drawn.
func (r *rejects) odds(draw int, m *mold, rng *rand.Rand) (odds, grow float64) {
	d := &r.drawn[draw]
	own := d.Spread * rng.NormFloat64()
	if i := r.place(m); i >= 0 && i < len(d.Effects) {
		own = d.Effects[i]
	}
	per := d.Beta[1] / rejectAge
	return math.Exp(d.Beta[0] + own + per*float64(m.age)), math.Exp(per)
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
