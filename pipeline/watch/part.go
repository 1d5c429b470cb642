package watch

import (
	"fmt"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/chunks"
	"moldwright/pipeline/wall"
)

// part is what all molds share is learned from: a log of whole molds, and of[i]
// the place in the whole log of its mold i.
type part struct {
	log history.Log
	of  []int
}

// place is where mold m of the whole log stands in the part, −1 where it does not.
func (p part) place(m int) int {
	if i, ok := slices.BinarySearch(p.of, m); ok {
		return i
	}
	return -1
}

// watcher is what is needed to judge one mold after the other.
type watcher struct {
	log    history.Log
	walls  wall.Answer
	molds  []int // those that are watched
	part   part
	tracks []wall.Track // of the part's molds
	scatter
	shifts *slipShifts
	limits limits
}

// look learns what all molds share, of a large log from a part of it: how
// readings scatter and where the limits lie. What slips do is heard from the part
// and from all molds that are watched.
func look(log history.Log, walls wall.Answer, set Settings) (*watcher, error) {
	w := &watcher{log: log, walls: walls, molds: log.Told(set.MoldsTold, set.EndedTold)}
	w.part.log, w.part.of = log.Learning(set.Learn)
	w.tracks = make([]wall.Track, len(w.part.of))
	chunks.Each(len(w.tracks), moldsAtOnce, func(_, from, to int) {
		for i := from; i < to; i++ {
			w.tracks[i] = walls.Posterior.Track(w.part.of[i])
		}
	})
	w.scatter = scatterOf(log, w.tracks)
	for _, t := range w.tracks {
		w.apply(log, t.Casts)
	}
	w.hearSlips()
	var err error
	w.limits, err = limitsOfPart(log, w.molds, w.part, w.tracks, w.shifts, set)
	return w, err
}

// hearSlips adds up what batches of slip do.
func (w *watcher) hearSlips() {
	w.shifts = newSlipShifts(len(w.log.Molds))
	heard := slices.Compact(slices.Sorted(slices.Values(append(slices.Clone(w.part.of), w.molds...))))
	casts := func(m int) []wall.TrackCast {
		if i := w.part.place(m); i >= 0 {
			return w.tracks[i].Casts
		}
		out := w.walls.Posterior.Residuals(m)
		w.apply(w.log, out)
		return out
	}
	at := 0
	chunks.InOrder(len(heard), hearAtOnce, func(from, to int) (out [][]wall.TrackCast) {
		for _, m := range heard[from:to] {
			out = append(out, casts(m))
		}
		return out
	}, func(some [][]wall.TrackCast) bool {
		for _, c := range some {
			w.shifts.hear(heard[at], c)
			at++
		}
		return true
	})
	w.shifts.variance = w.shifts.between()
}

// hearAtOnce is how many molds' casts are worked out together.
const hearAtOnce = 64

// track is that of a mold, with its scatter.
func (w *watcher) track(m int) wall.Track {
	if i := w.part.place(m); i >= 0 {
		return w.tracks[i]
	}
	t := w.walls.Posterior.Track(m)
	w.apply(w.log, t.Casts)
	return t
}

// notes say what of a large log is looked at.
func (w *watcher) notes() (out []string) {
	if len(w.part.of) < len(w.log.Molds) {
		out = append(out, fmt.Sprintf("Limits, the scatter of readings and usual rejects were learned from %d casts of %d molds, whole molds drawn by their names.", len(w.part.log.Casts), len(w.part.of)))
	}
	if len(w.molds) < len(w.log.Molds) {
		out = append(out, fmt.Sprintf("Of %d molds the %d that are in use or ended last are watched.", len(w.log.Molds), len(w.molds)))
	}
	return out
}
