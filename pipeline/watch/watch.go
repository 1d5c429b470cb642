// Package watch finds molds that wear out early. Three charts follow each mold,
// and each knows how often it is wrong about a healthy one: a test for wear that
// grew at some cast (Shiryaev 1963; Roberts 1966), a one-sided CUSUM of walls
// thinner than predicted (Page 1954; run length by Brook & Evans 1972), and a
// Bernoulli CUSUM of rejects (Reynolds & Stoumbos 1999); all from memory. Beside
// them stands the posterior chance that a mold's wear exceeds its kind's by a factor.
package watch

import (
	"cmp"
	"fmt"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/chunks"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Run watches every mold with measured casts. The forecasts of remaining casts
// say which molds are near their end anyway; they may be missing.
func Run(log history.Log, walls wall.Answer, lives []tables.RemainingCasts, set Settings) Answer {
	if walls.Posterior == nil {
		return Answer{WhyNot: "it needs a fitted wall model"}
	}
	w, err := look(log, walls, set)
	if err != nil {
		return Answer{WhyNot: "the limit of the running sum could not be set: " + err.Error()}
	}
	left := map[string]tables.RemainingCasts{}
	for _, l := range lives {
		left[l.Mold] = l
	}
	ans := Answer{Notes: append(notes(set, w.limits), w.notes()...)}
	type found struct {
		row   tables.Watch
		chart Chart
		ok    bool
	}
	all := make([]found, len(w.molds))
	chunks.Each(len(w.molds), moldsAtOnce, func(_, from, to int) {
		for i := from; i < to; i++ {
			m := w.molds[i]
			t := w.track(m)
			if len(t.Casts) == 0 {
				continue
			}
			chart := evidence(log, m, t, w.shifts, w.limits, set, atTheLast)
			row := judge(chart, walls.Posterior.ChanceFastWear(m, set.FastWear), w.limits.rejects[m].run, w.limits, set)
			if row.Flagged {
				chart = evidence(log, m, t, w.shifts, w.limits, set, atEach)
				row.DoNext = doNext(circumstances{log: log, mold: m, track: t, shifts: w.shifts, chart: chart, left: left[log.Molds[m].Mold]})
			} else {
				chart = Chart{}
			}
			all[i] = found{row, chart, true}
		}
	})
	charts := map[string]Chart{}
	for _, f := range all {
		if f.ok {
			ans.Molds = append(ans.Molds, f.row)
		}
		if f.row.Flagged {
			charts[f.row.Mold] = f.chart
		}
	}
	if len(ans.Molds) == 0 {
		ans.WhyNot = "no mold has measured casts"
	}
	slices.SortStableFunc(ans.Molds, func(a, b tables.Watch) int {
		return cmp.Or(flagOrder(a.Flagged, b.Flagged), cmp.Compare(chance(b), chance(a)))
	})
	for _, w := range ans.Molds {
		if w.Flagged {
			ans.Charts = append(ans.Charts, charts[w.Mold])
		}
	}
	ans.Shelf = shelf(log, ans.Molds, left)
	return ans
}

// moldsAtOnce is how many molds a core looks at before it takes others.
const moldsAtOnce = 4

// Follow is the evidence on every mold of the log, cast by cast, whether or not
// it is flagged; a mold without measured casts has an empty chart. It is what
// Run judges by.
func Follow(log history.Log, walls wall.Answer, set Settings) ([]Chart, error) {
	w, err := look(log, walls, set)
	if err != nil {
		return nil, err
	}
	out := make([]Chart, len(log.Molds))
	for _, m := range w.molds {
		if t := w.track(m); len(t.Casts) > 0 {
			out[m] = evidence(log, m, t, w.shifts, w.limits, set, atEach)
		}
	}
	return out, nil
}

func flagOrder(a, b bool) int {
	switch {
	case a && !b:
		return -1
	case b && !a:
		return 1
	}
	return 0
}

func chance(w tables.Watch) float64 {
	if tables.Has(w.ChanceFastWear) {
		return w.ChanceFastWear
	}
	return -1
}

func notes(set Settings, lim limits) []string {
	return []string{
		fmt.Sprintf("Each cast is predicted from the mold's own casts before it, and z is its error in standard deviations. Three charts follow z and the rejects. Together they flag a healthy mold falsely no more than once in %.0f casts: what the charts of walls may flag falsely, and what that of rejects may, are added.", set.InControlRun),
		fmt.Sprintf("Faster wear: for every cast at which the mold's wear may have doubled or trebled, the likelihood ratio of that against none, and their sum (Shiryaev 1963; Roberts 1966). Its limit is set on %d casts of healthy molds drawn by the wall model with this log's ages, dwells and readings, so that such molds are flagged for their walls, thin or worn, once in %.0f casts or more seldom; a quarter of the allowance is kept back, for real molds don't follow a fitted law to the letter. Healthy means: wear spread about the kind's so that 39 molds of 40 stay below %.1f times it, and the kind's wear itself known no better than the other molds tell it.", set.RehearsedCasts, lim.wallsRun, set.FastWear),
		fmt.Sprintf("Thin walls: S = max(0, S − z − %.1f), which flags above %.1f; false alarms once in %.0f casts (Brook & Evans 1972). One cast counts for no more than %d standard deviations.", set.Reference, lim.thin, lim.thinRun, typingError),
		fmt.Sprintf("Rejects: a sum that rises with each reject and falls with each other piece, for a share of rejects %.0f times the usual one of its kind at a high age (Reynolds & Stoumbos 1999); false alarms once in %.0f casts or more seldom.", set.RejectRise, set.InControlRun/shareRejects),
		fmt.Sprintf("The chance of fast wear is that of more than %.1f times the kind's wear, by the wall model. It flags no mold by itself, for it has no rate of false alarms; from %.0f %% on it is told as evidence.", set.FastWear, 100*set.FlagChance),
		"What all molds share while a batch of slip is in use is the slip's doing: the mean error of the other molds with that batch, drawn to zero where they are few or batches differ little, is taken off first.",
	}
}
