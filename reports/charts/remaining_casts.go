package charts

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// remainingCasts draws the forecast of each mold in service, those with the
// fewest casts left first.
func remainingCasts(s style, res pipeline.Result) (figure, bool) {
	var all []tables.RemainingCasts
	for _, r := range res.Life.Remaining {
		if drawable(r.RemainingP50) || drawable(r.RemainingP10) && drawable(r.RemainingP90) {
			all = append(all, r)
		}
	}
	if len(all) == 0 {
		return figure{}, false
	}
	slices.SortStableFunc(all, func(a, b tables.RemainingCasts) int {
		return cmp.Or(cmp.Compare(orBound(a), orBound(b)), cmp.Compare(a.RemainingP10, b.RemainingP10))
	})
	shown := all[:min(len(all), mostRows)]
	x := remainingScale(shown)
	causes := causesOf(shown)
	body := rowChart{x: x, xLabel: "further casts", headers: []string{"middle (80 % interval)", "likely end"}}
	var group rowGroup
	var alts []string
	off := 0
	for _, r := range shown {
		text := remainingText(r)
		group.rows = append(group.rows, row{
			label: r.Mold, columns: []string{text, causeName(r.LikelyCause)},
			draw: interval(x, r.RemainingP10, r.RemainingP50, r.RemainingP90, causeMark(r.LikelyCause, causes)),
		})
		if r.RemainingP90 > x.hi {
			off++
		}
		alts = append(alts, fmt.Sprintf("%s: %s, %s.", short(r.Mold), text, causeName(r.LikelyCause)))
	}
	body.groups = []rowGroup{group}
	return figure{
		name: "remaining_casts", section: SectionLife,
		title: "How many casts does each mold have left?",
		alt:   fmt.Sprintf("Remaining casts of %s in service, fewest first: middle and 10 to 90 %% points. ", counted(len(all), "mold", "molds")) + listed(alts, 10, "molds"),
		note: sentences("The mark is the middle forecast, its shape tells the likely end; one mold in ten makes fewer casts than the line's left end, one in ten more than its right end.",
			leftOut(len(shown), len(all), "molds, those with the fewest casts left", "tables/remaining_casts"),
			offScale(off, "interval", "intervals")),
		shown: partly(len(shown), len(all), "molds", "those with the fewest casts left"),
		body:  body,
	}, true
}

// remainingScale shows every median, and the intervals as far as three times the
// largest of them: beyond, a mold of which little is known would squeeze the rest.
func remainingScale(rs []tables.RemainingCasts) scale {
	var longest, reach float64
	for _, r := range rs {
		longest = max(longest, positive(orBound(r)))
	}
	for _, r := range rs {
		reach = max(reach, min(positive(r.RemainingP90), 3*longest))
	}
	x := over(max(longest, reach), 5)
	x.whole = true
	return x
}

// orBound is what a mold is sorted by: the median, or where it is absent the upper end.
func orBound(r tables.RemainingCasts) float64 {
	if drawable(r.RemainingP50) {
		return r.RemainingP50
	}
	return r.RemainingP90
}

func remainingText(r tables.RemainingCasts) string {
	if !drawable(r.RemainingP10) || !drawable(r.RemainingP90) {
		return format.Fixed(r.RemainingP50, 0)
	}
	return fmt.Sprintf("%s (%s to %s)", format.Fixed(r.RemainingP50, 0), format.Fixed(r.RemainingP10, 0), format.Fixed(r.RemainingP90, 0))
}

// causesOf lists the causes that occur, sorted, so that each keeps its mark.
func causesOf(rs []tables.RemainingCasts) []string {
	var out []string
	for _, r := range rs {
		if !slices.Contains(out, r.LikelyCause) {
			out = append(out, r.LikelyCause)
		}
	}
	slices.Sort(out)
	return out
}

func causeName(cause string) string {
	if clean(cause) == "" {
		return "for a cause not told"
	}
	return clean(cause)
}

// causeMark gives the two usual causes marks of their own, and others the rest in turn.
func causeMark(cause string, all []string) mark {
	switch {
	case strings.Contains(cause, "slow"):
		return mark{disc, cobalt, 3.2}
	case strings.Contains(cause, "worn"), strings.Contains(cause, "broken"):
		return mark{diamond, clay, 3.6}
	}
	others := []mark{{square, ochre, 3.6}, {triangle, plum, 3.6}}
	return others[max(slices.Index(all, cause), 0)%len(others)]
}
