package watch

import (
	"fmt"
	"math"
	"strings"

	"moldwright/pipeline/tables"
)

// judge weighs the evidence on one mold. A chart speaks where it is past its
// limit at the mold's last cast; one that came back is history.
func judge(c Chart, fast, rejectRun float64, lim limits, set Settings) tables.Watch {
	w := tables.Watch{
		Mold: c.Mold, SinceAgeCasts: tables.NoCount, ChanceFastWear: fast, FalseAlarmCasts: falseAlarms(c, rejectRun, lim),
		Evidence: "nothing unusual", RejectEvidence: rejectWords(c),
	}
	var found []string
	since := math.Inf(1)
	if c.fast() {
		since = min(since, c.Onset)
		words := fmt.Sprintf("wear that grew at cast %.0f", c.Onset+1)
		if c.FromFirst {
			words = "wear faster than its kind's from the first"
		}
		found = append(found, words)
	}
	if c.thin() {
		at := c.AgeCasts[onset(c.Sum)]
		since = min(since, at)
		found = append(found, fmt.Sprintf("walls thinner than its own past predicts since cast %.0f", at+1))
	}
	if c.rejecting() {
		at := c.RejectAge[onset(c.Rejects)]
		since = min(since, at)
		found = append(found, fmt.Sprintf("more rejects than its kind makes since cast %.0f", at+1))
	}
	if len(found) == 0 {
		return w
	}
	w.Flagged, w.SinceAgeCasts = true, tables.Count(since)
	if tables.Has(fast) && fast >= set.FlagChance {
		found = append(found, fmt.Sprintf("a chance of %s that it wears faster than %.1f times its kind", percent(fast), set.FastWear))
	}
	w.Evidence = strings.Join(found, "; ")
	return w
}

// falseAlarms is how many casts pass between two false flags of this mold: the
// rates of its walls and of its rejects added.
func falseAlarms(c Chart, rejectRun float64, lim limits) float64 {
	rate := 1 / lim.thinRun
	if tables.Has(c.WearLimit) {
		rate = 1 / lim.wallsRun
	}
	if tables.Has(c.RejectLimit) {
		rate += 1 / rejectRun
	}
	return 1 / rate
}

func rejectWords(c Chart) string {
	if !tables.Has(c.RejectLimit) {
		return ""
	}
	if c.rejecting() {
		return "more than its kind makes"
	}
	return "no more than usual"
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
