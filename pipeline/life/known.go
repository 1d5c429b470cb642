package life

import (
	"fmt"
	"runtime"
	"sync"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/logistic"
	"moldwright/pipeline/stats/wander"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Known is what a log tells of the lives of its molds: what they share, learned
// once, from which any of them is forecast with straight or with wandering paths.
// It is safe for use by several goroutines after Learn.
type Known struct {
	log     history.Log
	set     Settings
	seed    uint64
	fits    []kindFit
	byKind  map[string]kindFit
	mortal  map[string]mortality
	rejects *faults
	inUse   []int   // molds, as indices in the log
	draws   int     // of each of them
	frames  []frame // of each of them, as they are asked for
	learned int     // casts of the molds that were learned from

	straight, wandering *paths // as asked for by the settings; both where the data choose
	gain                float64
}

// Learn fits what molds share. An error says why there can be no forecasts.
func Learn(log history.Log, studio tables.Studio, walls wall.Answer, set Settings, seed uint64) (*Known, error) {
	k := &Known{log: log, set: set, seed: seed, byKind: map[string]kindFit{}, mortal: map[string]mortality{}}
	var err error
	if k.fits, err = fitKinds(log); err != nil {
		return nil, fmt.Errorf("the lives could not be fitted: %w", err)
	}
	oldest := map[string]int{}
	for m, mold := range log.Molds {
		if mold.InUse() {
			k.inUse = append(k.inUse, m)
			oldest[mold.Kind] = max(oldest[mold.Kind], mold.Age)
		}
	}
	for _, f := range k.fits {
		k.byKind[f.kind] = f
		if _, some := oldest[f.kind]; some {
			k.mortal[f.kind] = f.mortality(oldest[f.kind], set.Horizon)
		}
	}
	k.draws, k.frames = set.drawsEach(len(k.inUse)), make([]frame, len(k.inUse))
	k.learn(studio, walls)
	return k, nil
}

// learn fits paths and rejects to the molds that are learned from.
func (k *Known) learn(studio tables.Studio, walls wall.Answer) {
	g := groundOf(k.log, studio, walls, k.set)
	for _, m := range g.learn {
		k.learned += k.log.Molds[m].Last - k.log.Molds[m].First
	}
	k.rejects = faultsOf(k.log, g.learn)
	var straight, wandering *wander.Model
	if k.set.Path != PathWandering {
		straight = g.model(wander.Straight)
	}
	if k.set.Path != PathStraight {
		wandering = g.model(wander.Wandering)
	}
	if k.set.Path == PathByData && (straight == nil || wandering == nil) {
		straight, wandering = nil, nil
	}
	if straight != nil && wandering != nil {
		k.gain = wander.Gain(straight, wandering)
	}
	if k.set.Path != PathWandering {
		k.straight = g.paths(straight, false, k.seed)
	}
	if k.set.Path == PathWandering || k.set.Path == PathByData && wandering != nil {
		k.wandering = g.paths(wandering, true, k.seed)
	}
}

// paths of a course: by the data, those for which AICc speaks.
func (k *Known) paths(path Path) *paths {
	switch {
	case k.wandering == nil:
		return k.straight
	case k.straight == nil, path == PathWandering, path == PathByData && k.gain > 0:
		return k.wandering
	}
	return k.straight
}

// Course is the one that is gone by where one is asked for: by the data, straight or
// wandering; straight where wandering ones cannot be told.
func (k *Known) Course(path Path) Path {
	if k.paths(path) == k.straight {
		return PathStraight
	}
	return PathWandering
}

// Remaining forecasts every mold in use with paths of a course: rows, and beside
// each its ascending draws. By the settings' own course any is given as that; where
// they leave it to the data, straight and wandering ones are to be had, too.
func (k *Known) Remaining(path Path) ([]tables.RemainingCasts, [][]float64) {
	return k.look(k.paths(path), 0, anyForm)
}

// look forecasts the molds in use with the longest dwells changed by so much on the
// log scale, on all cores.
func (k *Known) look(p *paths, longer float64, wanted func(form string) bool) ([]tables.RemainingCasts, [][]float64) {
	rows, draws := make([]tables.RemainingCasts, len(k.inUse)), make([][]float64, len(k.inUse))
	lives := k.livesOf(wanted)
	one := func(i int, in *room) {
		m := k.inUse[i]
		mold := k.log.Molds[m]
		if !wanted(mold.Form) {
			return
		}
		if k.frames[i].lives == nil {
			var laws []logistic.UnitLaw
			if k.rejects != nil {
				laws = k.rejects.laws(k.log, m)
			}
			k.frames[i] = k.frame(lives[kindAge{mold.Kind, mold.Age}], mold.Age, laws)
		}
		f := k.forecaster(p, mold, p.drawer(m), k.frames[i])
		f.longer, f.room = longer, in
		rows[i], draws[i] = f.forecast(generator(k.seed, mold.Mold))
	}
	each(len(k.inUse), one)
	return rows, draws
}

// fewForCores is how many molds are not worth more than one core.
const fewForCores = 32

// each does one thing so many times, on all cores.
func each(n int, do func(i int, in *room)) {
	workers := min(runtime.GOMAXPROCS(0), n/fewForCores)
	if workers < 2 {
		in := &room{}
		for i := range n {
			do(i, in)
		}
		return
	}
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			in := &room{}
			for i := n * w / workers; i < n*(w+1)/workers; i++ {
				do(i, in)
			}
		})
	}
	wg.Wait()
}

// frame is what a mold's kind and its rejects leave it, whatever its path: chances
// of more than 0, 1 … casts.
type frame struct {
	lives, sound []float64
}

func (k *Known) frame(lives []float64, age int, laws []logistic.UnitLaw) frame {
	return frame{lives, soundFor(laws, age, len(lives), k.set.FaultLimit)}
}

// kindAge is what molds have in common whose kind's life leaves them the same.
type kindAge struct {
	kind string
	age  int
}

// livesOf are the chances of more casts that its kind's life leaves each mold in use
// whose frame is not known yet. Molds of a kind and an age have the same.
func (k *Known) livesOf(wanted func(form string) bool) map[kindAge][]float64 {
	out := map[kindAge][]float64{}
	var all []kindAge
	for i, m := range k.inUse {
		mold := &k.log.Molds[m]
		at := kindAge{mold.Kind, mold.Age}
		if _, ok := out[at]; !ok && k.frames[i].lives == nil && wanted(mold.Form) {
			out[at] = nil
			all = append(all, at)
		}
	}
	lives := make([][]float64, len(all))
	each(len(all), func(i int, _ *room) { lives[i] = k.mortal[all[i].kind].survival(all[i].age, k.set.Horizon) })
	for i, at := range all {
		out[at] = lives[i]
	}
	return out
}

func (k *Known) forecaster(p *paths, mold history.Mold, path *drawer, in frame) forecaster {
	_, hasLimit := p.limits[history.Fold(mold.Form)]
	return forecaster{mold: mold, kind: k.byKind[mold.Kind], frame: in, habits: &p.habits, path: path, hasLimit: hasLimit, count: k.draws}
}
