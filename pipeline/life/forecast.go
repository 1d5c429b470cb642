package life

import (
	"fmt"
	"math"
	"math/rand/v2"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// Causes of a mold's end.
const (
	CauseSlow   = "too slow"
	CauseWorn   = "worn or broken"
	CauseFaults = "too many faults"
)

// forecaster tells the remaining casts of one mold: the fewest of what its path,
// its kind's life and its rejects leave it. Given what is known, the three are
// independent of each other, so the chance to make more than so many casts is the
// product of three; only that of its path is sampled.
type forecaster struct {
	mold     history.Mold
	kind     kindFit
	frame    frame
	habits   *habits
	path     *drawer // nil where nothing is known of it
	hasLimit bool    // whether its form has a limit
	count    int     // draws
	longer   float64 // log of what the longest dwell is multiplied by from today on
	room     *room
}

// mostWays bounds the ways sampled of a mold: they are spread evenly, and what
// comes after each is told by its chance.
const mostWays = 1000

// forecast is the mold's row, and its draws of remaining casts in ascending order:
// the points of their law at the middles of equal shares of chance. A mold in use
// makes one more cast at least: it ends with a cast, and one that had been given up
// would be logged so.
func (f forecaster) forecast(rng *rand.Rand) (tables.RemainingCasts, []float64) {
	lives, sound := f.frame.lives, f.frame.sound
	n := len(lives)
	quick, past := ones(n), tables.Absent() // chance of not yet being taken out as slow
	if f.path != nil {
		quick, past = f.stillQuick(n, rng)
	}
	var worn, slow, faulty float64
	more := ones(n)
	for j := 1; j < n; j++ {
		worn += (lives[j-1] - lives[j]) * quick[j-1] * sound[j-1]
		slow += lives[j] * (quick[j-1] - quick[j]) * sound[j-1]
		faulty += lives[j] * quick[j] * (sound[j-1] - sound[j])
		more[j] = lives[j] * quick[j] * sound[j]
	}
	draws := pointsOf(more, f.count)
	out := Summarise(tables.RemainingCasts{}, draws)
	out.Mold, out.Form, out.Kind, out.AgeCasts = f.mold.Mold, f.mold.Form, f.mold.Kind, tables.Count(f.mold.Age)
	out.ChanceSlow, out.ChanceWorn, out.ChanceFaults, out.ChancePastLimit = slow, worn, faulty, past
	out.LikelyCause = CauseWorn
	switch {
	case slow >= worn && slow >= faulty && slow > 0:
		out.LikelyCause = CauseSlow
	case faulty > worn:
		out.LikelyCause = CauseFaults
	}
	out.Basis = basis(f.kind, f.path, f.hasLimit)
	if past > surelyPast {
		out.Basis = "most likely past its limit now, and judged by how long the studio goes on with such molds; " + out.Basis
	}
	return out, draws
}

// surelyPast is the chance of being past its limit from which that is said.
const surelyPast = 0.5

func ones(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// pointsOf are so many points of the law with chances more[j] of more than j casts,
// which begin with 1 and fall to 0.
func pointsOf(more []float64, count int) []float64 {
	out := make([]float64, count)
	j := 1
	for i := range out {
		for p := (float64(i) + 0.5) / float64(count); j < len(more)-1 && 1-more[j] < p; {
			j++
		}
		out[i] = float64(j)
	}
	return out
}

// habitSpread is the fourth of the fractions by which ways are spread (see
// wander.Forecast.Sample).
const habitSpread = 0.5385972572236101

// stillQuick are the chances that the mold makes more than 0, 1, … n − 1 casts before
// it is taken out for being too slow, and that of being past its limit now. Ways are
// weighed by how well each goes with the mold not having been taken out yet; how
// long the studio goes on beyond the limit is told by its chance.
func (f forecaster) stillQuick(n int, rng *rand.Rand) (more []float64, past float64) {
	u := rng.Float64()
	in := f.room
	ways := f.path.draws(min(f.count, mostWays), rng, in)
	age, before := float64(f.mold.Age), float64(f.mold.BeforeLog)
	in.until, in.habit, in.weight, in.over = sized(in.until, len(ways)), sized(in.habit, len(ways)), sized(in.weight, len(ways)), sized(in.over, len(ways))
	until, habit, weight, over := in.until, in.habit, in.weight, in.over // until: casts to the first beyond the limit
	ends := f.ends(ways)
	sum := 0.0
	for i := range ways {
		w := &ways[i]
		at := u + float64(i)*habitSpread
		place := f.habits.place(at - math.Floor(at))
		shift := place / shareSteps
		habit[i] = place % shareSteps
		now, then := ends(w, shift)
		share := &f.habits.shares[habit[i]]
		weight[i] = share.after(beyond(age, w.crossed(now)) - beyond(before, w.crossed(now)))
		sum += weight[i]
		over[i] = w.path.Level > then
		until[i] = int(max(w.crosses(then, age+float64(n)), age+1) - age)
	}
	if !(sum > 0) {
		weight, sum = ones(len(ways)), float64(len(ways))
	}
	for i, w := range weight {
		if over[i] {
			past += w / sum
		}
	}
	return f.habits.more(in, weight, sum, n), past
}

// beyond is how many casts a mold of so many has made beyond the limit that it
// passed at an age; none before its first.
func beyond(casts, crossed float64) float64 {
	if casts <= 0 {
		return 0
	}
	return max(0, casts+1-crossed)
}

// ends are where ways end, by step of the habit's shift: for the dwells of the past,
// and for those from now on.
func (f forecaster) ends(ways []way) func(w *way, step int) (now, then float64) {
	of := func(w *way, step int) (now, then float64) {
		shift := f.habits.at[step*shareSteps].shift
		now = w.end(shift)
		if f.longer == 0 {
			return now, now
		}
		return now, w.end(shift + f.longer)
	}
	if f.path.readings == nil || len(ways) == 0 {
		return of
	}
	var nows, thens [shiftSteps]float64 // all ways have one course
	for step := range shiftSteps {
		nows[step], thens[step] = of(&ways[0], step)
	}
	return func(_ *way, step int) (now, then float64) { return nows[step], thens[step] }
}

// more are the chances to make more than 0, 1, … n − 1 casts, by weighted ways of
// which each passes the limit at so many casts and is noticed with the share of a
// habit at that cast and each after it.
func (h *habits) more(in *room, weight []float64, sum float64, n int) []float64 {
	var all [shareSteps]float64
	for k := range in.passes {
		in.passes[k] = sized(in.passes[k], n)
		clear(in.passes[k])
	}
	for i, w := range weight {
		k := in.habit[i]
		all[k] += w
		if in.until[i] < n {
			in.passes[k][in.until[i]] += w
		}
	}
	out := make([]float64, n)
	for k, passed := range in.passes {
		if all[k] == 0 {
			continue
		}
		before, filled, kept := all[k], 0.0, 1-h.shares[k].out
		for j, p := range passed {
			before -= p
			filled = (filled + p) * kept
			out[j] += max(0, before) + filled
		}
	}
	for j := range out {
		out[j] /= sum
	}
	out[0] = 1
	return out
}

// leastOwn is how many measured casts a mold must have for its path to be called
// its own; with fewer it goes mostly by the wear of the others.
const leastOwn = 4

func basis(kind kindFit, path *drawer, hasLimit bool) string {
	lives := fmt.Sprintf("lives of %d ended %s molds", kind.fit.Ended, kind.kind)
	if kind.fit.Ended == 1 {
		lives = "life of 1 ended " + kind.kind + " mold"
	}
	switch {
	case kind.fit.Ended == 0:
		lives = "common practice for lives (no ended " + kind.kind + " mold yet)"
	case kind.fit.PriorWeight >= 0.5:
		lives += ", mostly common practice"
	case kind.fit.PriorWeight+kind.fit.PoolWeight >= 0.5:
		lives += ", mostly common practice and the studio's other kinds"
	}
	switch {
	case path != nil && path.casts >= leastOwn:
		return "its own wall path; " + lives
	case path != nil:
		return "its few walls, and the wear of others of its form and kind; " + lives
	case !hasLimit:
		return lives + "; the form has no target wall or longest dwell"
	}
	return lives + "; no measured walls of its form"
}
