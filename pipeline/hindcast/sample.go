package hindcast

import (
	"hash/fnv"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// Lives that a large log is replayed over: in so short a time a fair share of its
// molds are in use at each past date, and can be forecast from it.
const livesReplayed = 4.0

// sparePart is how many times the casts wanted are looked through for a part of them
// with molds of every form and kind.
const sparePart = 4

// Sample is the part of a log that is replayed: all of it up to so many casts, else
// about so many of whole molds, chosen by their names as if by lot from those that were
// cast on in the last few lives of a mold.
func Sample(log history.Log, casts int) history.Log {
	if len(log.Casts) <= casts {
		return log
	}
	since := log.AsOf - tables.Date(livesReplayed*medianLife(log))
	var of []int
	total := 0
	for m, mold := range log.Molds {
		if n := mold.Last - mold.First; n > 0 && log.Casts[mold.Last-1].Date >= since {
			of, total = append(of, m), total+n
		}
	}
	if total < casts {
		some, _ := log.Learning(casts)
		return some
	}
	if part := float64(sparePart*casts) / float64(total); part < 1 {
		of = slices.DeleteFunc(of, func(m int) bool { return lot(log.Molds[m].Mold) >= part })
	}
	some, _ := log.Of(of).Learning(casts)
	return some
}

// medianLife is the middle of the days from first to last cast of molds that ended.
func medianLife(log history.Log) float64 {
	var days []float64
	for _, mold := range log.Molds {
		if mold.InUse() || mold.Last == mold.First {
			continue
		}
		if first, last := log.Casts[mold.First].Date, log.Casts[mold.Last-1].Date; first.Valid() {
			days = append(days, float64(last-first))
		}
	}
	if len(days) == 0 {
		return 0
	}
	slices.Sort(days)
	return days[len(days)/2]
}

// lot is a number in [0,1) that is a name's own.
func lot(name string) float64 {
	h := fnv.New64a()
	h.Write([]byte("replay " + history.Fold(name)))
	x := h.Sum64()
	x = (x ^ x>>33) * 0xff51afd7ed558ccd // the finalizer of MurmurHash3: FNV leaves high bits alike
	return float64((x^x>>33)>>11) / (1 << 53)
}
