// Package life answers how many casts each mold in service still has: until it
// is too slow (its wall path crosses the form's longest dwell) or worn or
// broken (the life of its kind), whichever comes first.
package life

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"

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
	ans := Answer{Notes: notes()}
	byKind := map[string]kindFit{}
	for _, k := range fits {
		ans.Fits = append(ans.Fits, k.row())
		ans.Curves = append(ans.Curves, k.curve(seed))
		byKind[k.kind] = k
	}
	limits := limitsOf(studio)
	for m, mold := range log.Molds {
		if mold.InUse() {
			ans.Remaining = append(ans.Remaining, forecast(m, mold, byKind[mold.Kind], walls, limits, set, seed))
		}
	}
	return ans
}

func notes() []string {
	return []string{
		"Lives: Weibull law in casts, by kind, right-censored (molds in use) and left-truncated (molds older than the log), with a weak prior from common practice (split: 20 to 50 casts; conventional: about 100; no source).",
		"A mold that ended slow informs its wall path, not the lives of its kind; one retired for another reason counts as not ended.",
		"Too slow: each mold's fitted wear is drawn on at its present pace until the dwell for the target wall exceeds the form's longest dwell. Real paths wander, so the interval of a far crossing is narrower than it should be.",
		"Too many faults is not yet among the causes.",
	}
}

// limit is when a form's mold is too slow: a wet wall in mm within a dwell in min.
type limit struct {
	wallMM   float64
	dwellMin float64
}

func limitsOf(studio tables.Studio) map[string]limit {
	limits := map[string]limit{}
	for _, f := range studio.Forms.Rows() {
		if t := wall.WetTarget(f); tables.Has(t) && f.LongestDwellMin > 0 {
			limits[history.Fold(f.Form)] = limit{wallMM: t, dwellMin: f.LongestDwellMin}
		}
	}
	return limits
}

// Causes of a mold's end.
const (
	CauseSlow = "too slow"
	CauseWorn = "worn or broken"
)

// forecast draws the remaining casts of a mold: the smaller of what its path
// and what its kind's life leave it.
func forecast(m int, mold history.Mold, kind kindFit, walls wall.Answer, limits map[string]limit, set Settings, seed uint64) tables.RemainingCasts {
	rng := generator(seed, mold.Mold)
	lim, hasLimit := limits[history.Fold(mold.Form)]
	var drawer wall.Drawer
	hasPath := false
	if walls.Posterior != nil && hasLimit {
		drawer, hasPath = walls.Posterior.Drawer(m)
	}
	draws := make([]float64, set.Draws)
	slow := 0
	for i := range draws {
		law := kind.fit.Draw(rng)
		left := math.Floor(law.DrawRemaining(float64(mold.Age), rng))
		if hasPath {
			if r := castsUntilSlow(drawer.Draw(rng), lim, mold.Age); r < left {
				left = r
				slow++
			}
		}
		draws[i] = min(left, float64(set.Horizon))
	}
	out := summary(draws)
	out.Mold, out.Form, out.Kind, out.AgeCasts = mold.Mold, mold.Form, mold.Kind, tables.Count(mold.Age)
	out.LikelyCause = CauseWorn
	if 2*slow > len(draws) {
		out.LikelyCause = CauseSlow
	}
	out.Basis = basis(kind, hasPath, hasLimit)
	return out
}

// castsUntilSlow counts the casts that a course allows from an age on: those at
// ages n whose needed dwell is within the limit, which they are up to the
// course's last age.
func castsUntilSlow(c wall.Course, lim limit, age int) float64 {
	if c.DwellNeeded(lim.wallMM, float64(age)) > lim.dwellMin {
		return 0
	}
	return max(0, math.Floor(c.LastAge(lim.wallMM, lim.dwellMin)-float64(age))+1)
}

func basis(kind kindFit, hasPath, hasLimit bool) string {
	lives := fmt.Sprintf("lives of %d ended %s molds", kind.fit.Ended, kind.kind)
	if kind.fit.Ended == 1 {
		lives = "life of 1 ended " + kind.kind + " mold"
	}
	switch {
	case kind.fit.Ended == 0:
		lives = "common practice for lives (no ended " + kind.kind + " mold yet)"
	case kind.fit.PriorWeight >= 0.5:
		lives += ", mostly common practice"
	}
	switch {
	case hasPath:
		return "its own wall path; " + lives
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
