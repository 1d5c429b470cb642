// Package life answers how many casts each mold in service still has: until it
// is too slow (its wall path crosses the form's longest dwell) or worn or
// broken (the life of its kind), whichever comes first.
package life

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Run forecasts the remaining casts of every mold in use.
func Run(log history.Log, studio tables.Studio, walls wall.Answer, set Settings, seed uint64) Answer {
	if len(log.Molds) == 0 {
		return Answer{WhyNot: "no mold is in the log"}
	}
	fits, err := fitKinds(log)
	if err != nil {
		return Answer{WhyNot: "the lives could not be fitted: " + err.Error()}
	}
	var ans Answer
	byKind := map[string]kindFit{}
	for _, k := range fits {
		ans.Fits = append(ans.Fits, k.row())
		ans.Curves = append(ans.Curves, k.curve())
		byKind[k.kind] = k
	}
	ans.Causes = causesOf(log)
	ans.CauseRows = causeRows(ans.Causes)
	p := pathsOf(log, studio, walls, set, seed)
	ans.Notes = notes(p, fits, set)
	if set.PathWhy != "" && p.model != nil {
		ans.Notes = append(ans.Notes, set.PathWhy)
	}
	rejects := faultsOf(log)
	for m, mold := range log.Molds {
		if mold.InUse() {
			f := forecaster{index: m, mold: mold, kind: byKind[mold.Kind], paths: p, path: p.of[m], faults: rejects, set: set}
			row, draws := f.forecast(generator(seed, mold.Mold))
			ans.Remaining, ans.Draws = append(ans.Remaining, row), append(ans.Draws, draws)
		}
	}
	ans.Wandering = p.wandering
	return ans
}

func limitsOf(studio tables.Studio) map[string]limit {
	limits := map[string]limit{}
	for _, f := range studio.Forms.Rows() {
		l := limit{wallMM: wall.WetTarget(f), dwellMin: f.LongestDwellMin}
		if known(l) {
			limits[history.Fold(f.Form)] = l
		}
	}
	return limits
}

// Causes of a mold's end.
const (
	CauseSlow   = "too slow"
	CauseWorn   = "worn or broken"
	CauseFaults = "too many faults"
)

// forecaster draws the remaining casts of one mold: the smaller of what its path
// and what its kind's life leave it.
type forecaster struct {
	index  int // of the mold in the log
	mold   history.Mold
	kind   kindFit
	paths  paths
	path   *drawer
	faults *faults
	set    Settings
	longer float64 // log of what the longest dwell is multiplied by from today on
}

// possible is a path that the mold may be on, and how strictly the studio goes by
// the limit.
type possible struct {
	way   way
	end   float64
	habit habit
}

// tally counts draws by what ended them.
type tally struct{ slow, worn, faults, past int }

// forecast is the mold's row, and its draws of remaining casts in ascending order.
// A mold in use makes one more cast at least: it ends with a cast, and one that
// had been given up would be logged so.
func (f forecaster) forecast(rng *rand.Rand) (tables.RemainingCasts, []float64) {
	draws := make([]float64, f.set.Draws)
	var t tally
	ways := f.possible(rng)
	for i := range draws {
		var w *possible
		if ways != nil {
			w = &ways[i]
		}
		draws[i] = f.draw(w, &t, rng)
	}
	n := float64(len(draws))
	slices.Sort(draws)
	out := Summarise(tables.RemainingCasts{}, draws)
	out.Mold, out.Form, out.Kind, out.AgeCasts = f.mold.Mold, f.mold.Form, f.mold.Kind, tables.Count(f.mold.Age)
	out.ChanceSlow, out.ChanceWorn, out.ChanceFaults = float64(t.slow)/n, float64(t.worn)/n, float64(t.faults)/n
	out.ChancePastLimit = tables.Absent()
	out.LikelyCause = CauseWorn
	switch {
	case t.slow >= t.worn && t.slow >= t.faults && t.slow > 0:
		out.LikelyCause = CauseSlow
	case t.faults > t.worn:
		out.LikelyCause = CauseFaults
	}
	_, hasLimit := f.paths.limits[history.Fold(f.mold.Form)]
	out.Basis = basis(f.kind, f.path, hasLimit)
	if ways != nil {
		out.ChancePastLimit = float64(t.past) / n
		if out.ChancePastLimit > surelyPast {
			out.Basis = "most likely past its limit now, and judged by how long the studio goes on with such molds; " + out.Basis
		}
	}
	return out, draws
}

// surelyPast is the chance of being past its limit from which that is said.
const surelyPast = 0.5

// draw is one draw of the mold's remaining casts.
func (f forecaster) draw(w *possible, t *tally, rng *rand.Rand) float64 {
	age := float64(f.mold.Age)
	law := f.kind.fit.Draw(rng)
	end := math.Round(age + halfCast + law.DrawRemaining(age+halfCast, rng))
	end = min(max(end, age+1), age+float64(f.set.Horizon))
	cause := &t.worn
	if w != nil {
		if w.way.path.Level > w.end {
			t.past++
		}
		from := w.way.crosses(w.end, end)
		if at := max(from, age+1) + w.habit.noticed(rng); at < end {
			end, cause = at, &t.slow
		}
	}
	if f.faults != nil {
		if at := max(f.faults.draw(f.index, f.set.FaultLimit, rng), age+1); at < end {
			end, cause = at, &t.faults
		}
	}
	*cause++
	return end - age
}

// possible draws paths, and of these again as often as each goes with the mold
// not having been taken out yet.
func (f forecaster) possible(rng *rand.Rand) []possible {
	if f.path == nil {
		return nil
	}
	n := f.set.Draws
	all := make([]possible, n)
	weight := make([]float64, n)
	sum := 0.0
	age, before := float64(f.mold.Age), float64(f.mold.BeforeLog)
	for i := range all {
		h := f.paths.habits.draw(rng)
		p := possible{way: f.path.draw(rng), habit: h}
		p.end = p.way.end(h.shift)
		at := p.way.crossed(p.end)
		w := h.still(age, at) / h.still(before, at)
		if f.longer != 0 {
			p.end = p.way.end(h.shift + f.longer)
		}
		all[i] = p
		sum += w
		weight[i] = sum
	}
	if !(sum > 0) {
		return all
	}
	// Systematic resampling (Kitagawa 1996, from memory).
	out := make([]possible, n)
	u, k := rng.Float64(), 0
	for i := range out {
		for weight[k] < sum*(float64(i)+u)/float64(n) && k < n-1 {
			k++
		}
		out[i] = all[k]
	}
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

// generator is a source of random numbers of the mold's own, so that a
// forecast does not depend on which other molds are in the log.
func generator(seed uint64, name string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(name))
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}
