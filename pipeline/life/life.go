// Package life answers how many casts each mold in service still has: until it
// is too slow (its wall path crosses the form's longest dwell) or worn or
// broken (the life of its kind), whichever comes first.
package life

import (
	"hash/fnv"
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
	k, err := Learn(log, studio, walls, set, seed)
	if err != nil {
		return Answer{WhyNot: err.Error()}
	}
	return k.Answer()
}

// Answer is all that is said of lives, with the course of paths that the settings
// ask for.
func (k *Known) Answer() Answer {
	ans := Answer{known: k}
	for _, f := range k.fits {
		ans.Fits = append(ans.Fits, f.row())
		ans.Curves = append(ans.Curves, f.curve())
	}
	ans.Causes = causesOf(k.log)
	ans.CauseRows = causeRows(ans.Causes)
	p := k.paths(k.set.Path)
	ans.Notes = append(notes(p, k.fits, k.set), k.bounds()...)
	if k.set.PathWhy != "" && p.model != nil {
		ans.Notes = append(ans.Notes, k.set.PathWhy)
	}
	ans.Remaining, ans.Draws = k.Remaining(k.set.Path)
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

// generator is a source of random numbers of the mold's own, so that a
// forecast does not depend on which other molds are in the log.
func generator(seed uint64, name string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(name))
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}
