package life

import (
	"math"
	"math/rand/v2"
	"slices"

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
	at     []habit // share by share within each shift
	shares []share
	chance []float64 // cumulative
}

const witnessDraws = 100

func (d *drawer) witness(mold history.Mold, rng *rand.Rand) witness {
	return witness{mold: mold, slow: !mold.InUse() && mold.EndReason == "slow", draws: d.draws(witnessDraws, rng, &room{}), alike: d.readings != nil}
}

// witness is one mold with draws of its path.
type witness struct {
	mold  history.Mold
	slow  bool  // ended because it was too slow
	draws []way // one at least
	alike bool  // whether all of them are of one course, and so have one end
}

// oddEnd is the chance by which a mold is taken for slow while its walls say
// otherwise, spread over its life.
const oddEnd = 1e-3

const (
	shiftSteps = 9
	shareSteps = 9
)

// learnHabits is the posterior of a studio's habit by what became of its molds.
func learnHabits(all []witness) habits {
	var out habits
	shares := make([]share, shareSteps)
	for k := range shares {
		u := 2.5 * (2*float64(k)/(shareSteps-1) - 1)
		shares[k] = shareOf(1 / (1 + casualMiddle*math.Exp(casualSpread*u)))
		shares[k].belief = -0.5 * u * u
	}
	var logs []float64
	crossed := make([]float64, witnessDraws)
	var seen fate
	for i := range shiftSteps {
		z := 2.5 * (2*float64(i)/(shiftSteps-1) - 1)
		shift := shiftSpread * z
		sums := make([]float64, shareSteps)
		for _, w := range all {
			crossed = crossed[:0] // first age beyond the limit, by draw
			end := w.draws[0].end(shift)
			for _, d := range w.draws {
				if !w.alike {
					end = d.end(shift)
				}
				crossed = append(crossed, d.crossed(end))
			}
			seen.see(w, crossed)
			for k := range shares {
				sums[k] += math.Log(seen.likelihood(w, &shares[k]))
			}
		}
		for k := range shares {
			s := &shares[k]
			out.at = append(out.at, habit{shift: shift, share: s.out})
			logs = append(logs, s.belief-0.5*z*z+sums[k])
		}
	}
	out.shares = shares
	best := slices.Max(logs)
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

// share is the share of the molds past the limit that each cast takes out, with the
// powers of what it leaves.
type share struct {
	out    float64
	left   []float64 // (1 − out)ⁿ by n
	belief float64   // log of its chance beforehand
}

// leftBelow is a share of molds still filled from which on there is none.
const leftBelow = 1e-12

func shareOf(out float64) share {
	s := share{out: out}
	for left := 1.0; left > leftBelow; left *= 1 - out {
		s.left = append(s.left, left)
	}
	return s
}

// after is the share that is left after so many casts.
func (s *share) after(casts float64) float64 {
	if casts >= float64(len(s.left)) {
		return 0
	}
	return s.left[int(max(0, casts))]
}

// overruns are by how many casts the draws of a mold's path are beyond the limit, each
// number once with how many draws have it: there are many more draws than numbers.
type overruns struct {
	casts []int
	count []float64
	at    []int // by casts: place in casts, from 1
}

func (o *overruns) reset() {
	for _, c := range o.casts {
		o.at[c] = 0
	}
	o.casts, o.count = o.casts[:0], o.count[:0]
}

// longestOverrun is one of which no share leaves anything.
const longestOverrun = 1 << 12

// add counts a draw that is so many casts beyond the limit; below 0 it is not.
func (o *overruns) add(casts float64) {
	n := int(min(max(0, casts), longestOverrun))
	for len(o.at) <= n {
		o.at = append(o.at, 0)
	}
	if o.at[n] == 0 {
		o.casts, o.count = append(o.casts, n), append(o.count, 0)
		o.at[n] = len(o.casts)
	}
	o.count[o.at[n]-1]++
}

// left is the sum over the draws of the share that is left.
func (o *overruns) left(s *share) float64 {
	sum := 0.0
	for i, n := range o.casts {
		if n < len(s.left) {
			sum += o.count[i] * s.left[n]
		}
	}
	return sum
}

// fate is what the draws of a mold's path say of how it was dealt with.
type fate struct {
	draws    float64
	entered  overruns // when the log began; none where it was new then
	fresh    bool     // whether it was new when the log began
	ended    overruns // at its last cast; of a mold taken out as slow those that were beyond the limit
	unpassed bool
}

// see takes in the ages at which draws passed the limit.
func (f *fate) see(w witness, crossed []float64) {
	age, before := float64(w.mold.Age), float64(w.mold.BeforeLog)
	f.draws, f.fresh, f.unpassed = float64(len(crossed)), before <= 0, age <= 0
	f.entered.reset()
	f.ended.reset()
	for _, c := range crossed {
		if !f.fresh {
			f.entered.add(before + 1 - c)
		}
		if !w.slow {
			f.ended.add(age + 1 - c)
		} else if c <= age {
			f.ended.add(age - c)
		}
	}
}

// likelihood of what became of a mold, over the draws of its path.
func (f *fate) likelihood(w witness, s *share) float64 {
	entered, sum := f.draws, f.draws
	if !f.fresh {
		entered = f.entered.left(s)
	}
	if w.slow {
		sum = s.out * f.ended.left(s)
	} else if !f.unpassed {
		sum = f.ended.left(s)
	}
	return (sum/f.draws + oddEnd) / (entered/f.draws + oddEnd)
}

// place is that of the habit at a point of its chance, in [0,1].
func (h *habits) place(u float64) int {
	k, _ := slices.BinarySearch(h.chance, u)
	return min(k, len(h.chance)-1)
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
