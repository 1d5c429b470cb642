package advice

import (
	"fmt"
	"math"

	"moldwright/pipeline/format"
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// firstLook compares the good pieces asked for with what the molds in hand may
// still make. It stands in for the run plan where there is none.
func firstLook(in Input) []Item {
	wanted := map[string]int{}
	due := map[string]tables.Date{}
	var forms []string
	for _, o := range in.Studio.Orders.Rows() {
		key := history.Fold(o.Form)
		if o.Due < in.Log.AsOf {
			continue
		}
		if _, ok := wanted[key]; !ok {
			forms = append(forms, o.Form)
			due[key] = o.Due
		}
		wanted[key] += int(o.Pieces)
		due[key] = min(due[key], o.Due)
	}
	var items []Item
	for _, f := range forms {
		items = append(items, orderItem(in, f, wanted[history.Fold(f)], due[history.Fold(f)]))
	}
	return items
}

func orderItem(in Input, form string, pieces int, due tables.Date) Item {
	molds, middle, low := 0, 0.0, 0.0
	for _, r := range in.Life.Remaining {
		if history.Fold(r.Form) == history.Fold(form) && tables.Has(r.RemainingP50) {
			molds++
			middle += r.RemainingP50
			low += r.RemainingP10
		}
	}
	share, casts := goodShare(in.Log, form)
	need := int(math.Ceil(float64(pieces) / share))
	it := Item{For: ForPotter, Sheet: SheetRemaining}
	it.Finding = fmt.Sprintf("%s: %d good pieces wanted, the first by %s.", form, pieces, in.Days.Day(due))
	if casts > 0 {
		it.Finding += fmt.Sprintf(" With %s of casts good so far that takes about %d casts.", format.Percent(share), need)
	}
	switch {
	case molds == 0:
		it.Urgent = true
		it.Finding += " No mold in use makes it."
		it.Do = "Pour and dry a mold before the run starts (drying takes 2 to 7 days: common practice)."
	case middle < float64(need):
		it.Urgent = true
		it.Finding += fmt.Sprintf(" The %d molds in use have about %.0f left together, too few.", molds, middle)
		it.Do = fmt.Sprintf("Pour new molds now for about %.0f casts more; allow 2 to 7 days of drying (common practice).", float64(need)-middle)
	case low < float64(need):
		it.Finding += fmt.Sprintf(" The %d molds in use have about %.0f left together, but not if several end early.", molds, middle)
		it.Do = "Have one spare mold poured and dry before the last third of the run."
	default:
		it.Finding += fmt.Sprintf(" The %d molds in use have about %.0f left together, enough.", molds, middle)
		it.Do = "Spread the casts over the molds so that none is pushed to its end."
	}
	return it
}

// goodShare is the share of a form's casts with a known result that were good;
// 1 and no casts where none is known.
func goodShare(log history.Log, form string) (share float64, casts int) {
	good := 0
	for _, m := range log.Molds {
		if history.Fold(m.Form) != history.Fold(form) {
			continue
		}
		for _, c := range log.Casts[m.First:m.Last] {
			if c.Result == history.NoResult {
				continue
			}
			casts++
			if c.Result == history.Good {
				good++
			}
		}
	}
	if good == 0 {
		return 1, 0
	}
	return float64(good) / float64(casts), casts
}
