package watch

import (
	"cmp"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// shelf is every mold in use, by form, in the log's order within a form.
func shelf(log history.Log, watched []tables.Watch, left map[string]tables.RemainingCasts) []Place {
	rows := map[string]tables.Watch{}
	for _, w := range watched {
		rows[w.Mold] = w
	}
	var out []Place
	for _, m := range log.Molds {
		if !m.InUse() {
			continue
		}
		p := Place{Mold: m.Mold, Form: m.Form, Kind: m.Kind, AgeCasts: m.Age, RemainingP10: tables.Absent(), RemainingP50: tables.Absent(), RemainingP90: tables.Absent()}
		if l, ok := left[m.Mold]; ok {
			p.RemainingP10, p.RemainingP50, p.RemainingP90 = l.RemainingP10, l.RemainingP50, l.RemainingP90
		}
		w, isWatched := rows[m.Mold]
		switch {
		case w.Flagged:
			p.Status, p.DoNext = Flagged, w.DoNext
		case tables.Has(p.RemainingP50) && p.RemainingP50 <= fewLeft:
			p.Status = Closing
		case !isWatched:
			p.Status = Unknown
		default:
			p.Status = Fine
		}
		out = append(out, p)
	}
	slices.SortStableFunc(out, func(a, b Place) int { return cmp.Compare(a.Form, b.Form) })
	return out
}
