package life

import (
	"math"
	"math/rand/v2"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// habit is how strictly a studio takes out molds that are too slow: the longest
// dwell that it really goes by is exp(shift) times that on file, and of the molds
// that need longer it takes out a share with each cast. What the log tells of it:
// molds that ended slow, and those still in use or ended otherwise, each against
// what their walls say of the age at which they passed the limit.
type habit struct {
	shift float64
	share float64
}

// What is believed of a studio's habit before its log is read, common practice,
// no source: it notices a slow mold after about two casts, in nine studios of ten
// after a half to eight; and goes by its limit within 5 % or so.
const (
	casualMiddle = 2.0 // casts made beyond the limit
	casualSpread = 0.85
	shiftSpread  = 0.04
)

// habits is the posterior of the habit on a grid.
type habits struct {
	at     []habit
	chance []float64 // cumulative
}

const witnessDraws = 100

func (d *drawer) witness(mold history.Mold, rng *rand.Rand) witness {
	w := witness{mold: mold, slow: !mold.InUse() && mold.EndReason == "slow"}
	for range witnessDraws {
		w.draws = append(w.draws, d.draw(rng))
	}
	return w
}

// witness is one mold with draws of its path.
type witness struct {
	mold  history.Mold
	slow  bool // ended because it was too slow
	draws []way
}

// oddEnd is the chance by which a mold is taken for slow while its walls say
// otherwise, spread over its life.
const oddEnd = 1e-3

const (
	shiftSteps = 9
	shareSteps = 9
)

func learnHabits(all []witness) habits {
	var out habits
	var logs []float64
	for i := range shiftSteps {
		z := 2.5 * (2*float64(i)/(shiftSteps-1) - 1)
		shift := shiftSpread * z
		crossed := make([][]float64, len(all)) // first age beyond the limit, by mold and draw
		for m, w := range all {
			for _, d := range w.draws {
				crossed[m] = append(crossed[m], d.crossed(d.end(shift)))
			}
		}
		for k := range shareSteps {
			u := 2.5 * (2*float64(k)/(shareSteps-1) - 1)
			casual := casualMiddle * math.Exp(casualSpread*u)
			h := habit{shift: shift, share: 1 / (1 + casual)}
			l := -0.5*z*z - 0.5*u*u
			for m, w := range all {
				l += math.Log(h.likelihood(w, crossed[m]))
			}
			out.at = append(out.at, h)
			logs = append(logs, l)
		}
	}
	best := math.Inf(-1)
	for _, l := range logs {
		best = math.Max(best, l)
	}
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - best)
		out.chance = append(out.chance, sum)
	}
	for i := range out.chance {
		out.chance[i] /= sum
	}
	return out
}

// likelihood of what became of a mold, over the draws of the age at which it
// passed the limit.
func (h habit) likelihood(w witness, crossed []float64) float64 {
	age, before := float64(w.mold.Age), float64(w.mold.BeforeLog)
	var sum, entered float64
	for _, c := range crossed {
		entered += h.still(before, c)
		if !w.slow {
			sum += h.still(age, c)
			continue
		}
		if c <= age {
			sum += h.share * math.Pow(1-h.share, age-c)
		}
	}
	n := float64(len(crossed))
	return (sum/n + oddEnd) / (entered/n + oddEnd)
}

// still is the chance that a mold which passed its limit at an age is not yet
// taken out when it has made so many casts; of one that has made none it is 1.
func (h habit) still(casts, crossed float64) float64 {
	if casts <= 0 {
		return 1
	}
	return math.Pow(1-h.share, max(0, casts+1-crossed))
}

func (h habits) draw(rng *rand.Rand) habit {
	u := rng.Float64()
	for i, c := range h.chance {
		if u <= c {
			return h.at[i]
		}
	}
	return h.at[len(h.at)-1]
}

// noticed draws how many casts a mold beyond the limit is still filled.
func (h habit) noticed(rng *rand.Rand) float64 {
	if h.share >= 1 {
		return 0
	}
	return math.Floor(math.Log(1-rng.Float64()) / math.Log(1-h.share))
}

// middle is the mean of casts made beyond the limit, and of the shift.
func (h habits) middle() (casual, shift float64) {
	last := 0.0
	for i, a := range h.at {
		casual += (h.chance[i] - last) * (1/a.share - 1)
		shift += (h.chance[i] - last) * a.shift
		last = h.chance[i]
	}
	return casual, shift
}

func known(l limit) bool { return tables.Has(l.wallMM) && l.dwellMin > 0 }
