package charts

import (
	"slices"

	"moldwright/pipeline"
	"moldwright/pipeline/watch"
)

// Which molds a bounded chart shows: those that somebody must do something about.

// urgency ranks molds for the charts that have no room for all: flagged, near its
// end, the others in use, and those that have ended.
func urgency(res pipeline.Result) func(mold string) int {
	ranks := make(map[string]int, len(res.Watch.Shelf))
	for _, p := range res.Watch.Shelf {
		ranks[p.Mold] = slices.Index(statuses(), p.Status)
	}
	return func(mold string) int {
		if rank, ok := ranks[mold]; ok {
			return rank
		}
		return len(statuses())
	}
}

// statuses are those of molds in use, the most urgent first.
func statuses() []string { return []string{watch.Flagged, watch.Closing, watch.Fine, watch.Unknown} }

// firstToAct keeps at most so many, the most urgent ones, in the order that they had.
func firstToAct[T any](all []T, most int, rank func(T) int) []T {
	if len(all) <= most {
		return all
	}
	at := make([]int, len(all))
	ranks := make([]int, len(all))
	for i := range all {
		at[i], ranks[i] = i, rank(all[i])
	}
	slices.SortStableFunc(at, func(a, b int) int { return ranks[a] - ranks[b] })
	at = at[:most]
	slices.Sort(at)
	out := make([]T, len(at))
	for i, k := range at {
		out[i] = all[k]
	}
	return out
}

// flaggedCharts are the charts of flagged molds in use, and those of molds that have
// ended since, as the log says.
func flaggedCharts(res pipeline.Result) (using, ended []watch.Chart) {
	gone := map[string]bool{}
	for _, m := range res.Log.Molds {
		gone[m.Mold] = !m.InUse()
	}
	for _, c := range res.Watch.Charts {
		if gone[c.Mold] {
			ended = append(ended, c)
		} else {
			using = append(using, c)
		}
	}
	return using, ended
}
