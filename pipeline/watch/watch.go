// Package watch finds molds that wear out early. Two kinds of evidence speak:
// each cast predicted from the mold's casts before it, the errors summed in a
// one-sided CUSUM (Page 1954, from memory; run length by Brook & Evans 1972);
// and the posterior chance that the mold's wear exceeds its kind's by a factor.
package watch

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/runlength"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Run watches every mold with measured casts.
func Run(log history.Log, walls wall.Answer, set Settings) Answer {
	if walls.Posterior == nil {
		return Answer{WhyNot: "it needs a fitted wall model"}
	}
	limit, err := runlength.Limit(set.Reference, set.InControlRun)
	if err != nil {
		return Answer{WhyNot: "the limit of the running sum could not be set: " + err.Error()}
	}
	ans := Answer{Notes: notes(set, limit)}
	errs := make([][]wall.StepError, len(log.Molds))
	for m := range log.Molds {
		errs[m] = walls.Posterior.OneStepErrors(m)
	}
	for m, es := range withoutShared(errs) {
		if len(es) == 0 {
			continue
		}
		mold := log.Molds[m]
		chart := cusum(mold.Mold, es, set.Reference, limit)
		row := judge(chart, mold, walls.Posterior.ChanceFastWear(m, set.FastWear), set)
		ans.Molds = append(ans.Molds, row)
		if row.Flagged {
			ans.Charts = append(ans.Charts, chart)
		}
	}
	if len(ans.Molds) == 0 {
		ans.WhyNot = "no mold has measured casts"
	}
	slices.SortStableFunc(ans.Molds, func(a, b tables.Watch) int {
		return cmp.Or(flagOrder(a.Flagged, b.Flagged), cmp.Compare(chance(b), chance(a)))
	})
	return ans
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

func notes(set Settings, limit float64) []string {
	return []string{
		fmt.Sprintf("Running sum: S = max(0, S − z − %.1f) over the standardised errors z of each cast predicted from the mold's casts before it; thin walls raise it, and above %.1f it flags. A healthy mold raises a false flag once in about %.0f casts (Brook & Evans 1972).", set.Reference, limit, set.InControlRun),
		fmt.Sprintf("Fast wear: flagged where the chance that the mold's wear exceeds %.1f times its kind's is %.0f %% or more.", set.FastWear, 100*set.FlagChance),
		"What all molds share while a batch of slip is in use is the slip's doing: the mean error of the other molds with that batch, drawn to zero where they are few, is taken off first.",
	}
}

// cusum sums the errors of one mold. Errors are positive where the wall was
// thicker than predicted; the sum looks for walls that turn thin.
func cusum(mold string, errs []wall.StepError, reference, limit float64) Chart {
	c := Chart{Mold: mold, Limit: limit}
	s := 0.0
	for _, e := range errs {
		s = math.Max(0, s-clipped(e.Z)-reference)
		c.AgeCasts = append(c.AgeCasts, float64(e.Age))
		c.Sum = append(c.Sum, s)
	}
	return c
}

// typingError bounds one cast's say: a single mistyped wall must not flag a mold.
const typingError = 3

func clipped(z float64) float64 { return math.Max(-typingError, math.Min(typingError, z)) }

// judge weighs the evidence on one mold. The sum speaks where it is above its
// limit at the mold's last measured cast; a sum that came back is history.
func judge(c Chart, mold history.Mold, fast float64, set Settings) tables.Watch {
	w := tables.Watch{Mold: mold.Mold, SinceAgeCasts: tables.NoCount, ChanceFastWear: fast, FalseAlarmCasts: set.InControlRun}
	last := len(c.Sum) - 1
	thin := c.Sum[last] > c.Limit
	quick := tables.Has(fast) && fast >= set.FlagChance
	w.Flagged = thin || quick
	if thin {
		w.SinceAgeCasts = tables.Count(c.AgeCasts[onset(c.Sum)])
	}
	switch {
	case thin && quick:
		w.Evidence = fmt.Sprintf("walls thinner than its own past predicts since cast %d, and a chance of %s that it wears faster than %.1f times its kind", w.SinceAgeCasts+1, percent(fast), set.FastWear)
	case thin:
		w.Evidence = fmt.Sprintf("walls thinner than its own past predicts since cast %d", w.SinceAgeCasts+1)
	case quick:
		w.Evidence = fmt.Sprintf("a chance of %s that it wears faster than %.1f times its kind", percent(fast), set.FastWear)
	default:
		w.Evidence = "nothing unusual"
	}
	return w
}

func percent(p float64) string {
	if p > 0.995 {
		return "more than 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// onset is where the last climb of the sum from zero began, the usual estimate
// of when a change happened.
func onset(sum []float64) int {
	first := len(sum) - 1
	for first > 0 && sum[first-1] > 0 {
		first--
	}
	return first
}
