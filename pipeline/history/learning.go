package history

import (
	"cmp"
	"hash/fnv"
	"slices"
)

// fewMolds is how many molds of each form and kind, and of each kind and status,
// a sub-log keeps before chance fills the rest, so that none is unheard of. Not of
// each form, kind and status: of a factory's molds most have ended, and a sub-log
// half of whose molds are in use would tell another tale of their lives.
const fewMolds = 6

// Learning is a sub-log of whole molds with about most casts at most, from which
// choices that all molds share can be made in bounded time: the log itself where
// it has no more. of[i] is the index in l of the sub-log's mold i.
//
// Which molds depends on a hash of their names alone, not on the order of files
// nor on cores. Each form and kind, and each kind and status, keeps a few molds
// where it has any. A mold without casts counts as one cast.
func (l Log) Learning(most int) (sub Log, of []int) {
	if len(l.Casts) <= most {
		of = make([]int, len(l.Molds))
		for m := range of {
			of[m] = m
		}
		return l, of
	}
	of = l.chosen(most)
	return l.Of(of), of
}

// Of is the sub-log of the molds of those indices, in that order, with their casts.
func (l Log) Of(molds []int) Log {
	sub := Log{AsOf: l.AsOf, Slips: l.Slips, Molds: make([]Mold, 0, len(molds))}
	n := 0
	for _, m := range molds {
		n += l.Molds[m].Last - l.Molds[m].First
	}
	sub.Casts = make([]Cast, 0, n)
	for i, m := range molds {
		mold := l.Molds[m]
		first := len(sub.Casts)
		sub.Casts = append(sub.Casts, l.Casts[mold.First:mold.Last]...)
		for k := first; k < len(sub.Casts); k++ {
			sub.Casts[k].Mold = int32(i)
		}
		mold.First, mold.Last = first, len(sub.Casts)
		sub.Molds = append(sub.Molds, mold)
	}
	return sub
}

// chosen are the indices of the molds of a sub-log, ascending.
func (l Log) chosen(most int) []int {
	type stratum struct {
		kind, form, status string
	}
	order, rank := l.byHash(), make([]int, len(l.Molds))
	seen := map[stratum]int{}
	for _, m := range order {
		mold := l.Molds[m]
		rank[m] = fewMolds
		for _, s := range []stratum{{kind: mold.Kind, form: "of " + Fold(mold.Form)}, {kind: mold.Kind, status: mold.Status}} {
			rank[m] = min(rank[m], seen[s])
			seen[s]++
		}
	}
	// The first of every stratum, then the second of every one, and so on: where
	// there is not room for a few of each, there is for one of each.
	byRank := make([]int, 0, len(order))
	for r := range fewMolds + 1 {
		for _, m := range order {
			if rank[m] == r {
				byRank = append(byRank, m)
			}
		}
	}
	var of []int
	casts := 0
	for _, m := range byRank {
		n := max(1, l.Molds[m].Last-l.Molds[m].First)
		if casts+n > most && len(of) >= fewMolds {
			continue
		}
		casts += n
		of = append(of, m)
	}
	slices.Sort(of)
	return of
}

// byHash are the molds in an order that is as good as drawn by lot.
func (l Log) byHash() []int {
	type drawn struct {
		hash uint64
		mold int
	}
	all := make([]drawn, len(l.Molds))
	for m := range l.Molds {
		h := fnv.New64a()
		h.Write([]byte(Fold(l.Molds[m].Mold)))
		all[m] = drawn{mix(h.Sum64()), m}
	}
	slices.SortFunc(all, func(a, b drawn) int {
		if a.hash != b.hash {
			return cmp.Compare(a.hash, b.hash)
		}
		return cmp.Or(cmp.Compare(l.Molds[a.mold].Mold, l.Molds[b.mold].Mold), cmp.Compare(a.mold, b.mold))
	})
	order := make([]int, len(all))
	for i, d := range all {
		order[i] = d.mold
	}
	return order
}

// mix spreads the bits of a hash: names that differ in their last letter differ
// too little in the high bits of FNV. It is the finalizer of SplitMix64 (Steele,
// Lea & Flood 2014).
func mix(h uint64) uint64 {
	h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>27) * 0x94d049bb133111eb
	return h ^ h>>31
}

// Place is the place of the batch in Log.Slips, 0 where none was logged.
func (s SlipNumber) Place() int { return s.index() }

// Told are the molds that tables of molds list: all, or of more than molds those
// in use and of the others the last to end, so many. They are in the log's order.
func (l Log) Told(molds, ended int) []int {
	var out, gone []int
	for m, mold := range l.Molds {
		if mold.InUse() {
			out = append(out, m)
		} else {
			gone = append(gone, m)
		}
	}
	if len(l.Molds) > molds && len(gone) > ended {
		slices.SortStableFunc(gone, func(a, b int) int { return cmp.Compare(l.Molds[b].EndedOn, l.Molds[a].EndedOn) })
		gone = gone[:ended]
	}
	out = append(out, gone...)
	slices.Sort(out)
	return out
}
