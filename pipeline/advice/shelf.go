package advice

import (
	"cmp"
	"fmt"
	"strings"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// fewCasts is how many remaining casts, in the middle forecast, call for a
// replacement: a week or so of casting, about the time a new mold takes to dry.
const fewCasts = 5

// shelf says which molds wear early and which are near their end.
func shelf(in Input) []Item {
	items := flagged(in)
	items = append(items, nearEnd(in)...)
	if len(items) == 0 && len(in.Watch.Molds) > 0 {
		items = append(items, Item{
			For: ForShelf, Sheet: SheetWatch,
			Finding: fmt.Sprintf("No mold of the %d with measured casts is wearing out early.", len(in.Watch.Molds)),
			Do:      "Keep measuring one wall a cast, at two or three places: wear that doubles takes some twenty casts or more to tell from the scatter of single walls.",
		})
	}
	return items
}

func flagged(in Input) []Item {
	status := map[string]bool{}
	for _, m := range in.Log.Molds {
		status[m.Mold] = m.InUse()
	}
	wearOf := map[string]tables.MoldState{}
	for _, s := range in.Wall.States {
		wearOf[s.Mold] = s
	}
	var items []Item
	for _, w := range in.Watch.Molds {
		if !w.Flagged || !status[w.Mold] {
			continue
		}
		finding := fmt.Sprintf("%s is wearing out early: %s.", w.Mold, w.Evidence)
		brief := w.Mold + " is wearing out early"
		if s := wearOf[w.Mold]; tables.Has(s.WearPerCast) {
			brief += ", " + format.Wear(s.WearPerCast) + " of wall a cast"
			finding += fmt.Sprintf(" It loses %s of wall a cast (95 %% interval %s).", format.Wear(s.WearPerCast), format.Interval(format.Wear(s.WearLower95), format.Wear(s.WearUpper95)))
		}
		items = append(items, Item{
			For: ForShelf, Urgent: true, Finding: finding, Sheet: SheetWatch, About: w.Mold, Brief: brief,
			Do: sentenceOf(cmp.Or(w.DoNext, "rest it and dry it fully, then measure three casts; if they are still thin, use it for short runs and pour its replacement")),
		})
	}
	return bounded(items, "are wearing out early", SheetWatch)
}

// mostItems is how many molds are named one by one; a factory has hundreds at
// their end at any time.
const mostItems = 60

// bounded names the first molds, and says how many more there are and where.
func bounded(items []Item, what, sheet string) []Item {
	if len(items) <= mostItems {
		return items
	}
	more := len(items) - mostItems
	return append(items[:mostItems:mostItems], Item{
		For: ForShelf, Urgent: true, Sheet: sheet,
		Finding: fmt.Sprintf("%d more molds %s.", more, what), Do: "Go down the sheet or its table.",
	})
}

// sentenceOf begins with a capital letter and ends with a stop.
func sentenceOf(text string) string { return strings.ToUpper(text[:1]) + text[1:] + "." }

func nearEnd(in Input) []Item {
	var items []Item
	for _, r := range in.Life.Remaining {
		if !tables.Has(r.RemainingP50) || r.RemainingP50 > fewCasts {
			continue
		}
		cause := ""
		if r.LikelyCause != "" {
			cause = " Most likely end: " + strings.ToLower(r.LikelyCause) + "."
		}
		interval := fmt.Sprintf(" (80 %% interval %s)", format.Interval(format.Fixed(r.RemainingP10, 0), format.Casts(r.RemainingP90)))
		left := fmt.Sprintf("has about %s left", format.Casts(r.RemainingP50))
		switch {
		case r.RemainingP90 < 1:
			left, interval = "is at its end", ""
		case r.RemainingP50 < 1:
			left = "is at or near its end"
		}
		items = append(items, Item{
			For: ForShelf, Urgent: true, Sheet: SheetRemaining, About: r.Mold,
			Brief:   fmt.Sprintf("%s (%s) %s", r.Mold, r.Form, left),
			Finding: fmt.Sprintf("%s (%s) %s%s.%s", r.Mold, r.Form, left, interval, cause),
			Do:      "Pour its replacement now; a mold needs 2 to 7 days to dry (common practice).",
		})
	}
	return bounded(items, "are near their end", SheetRemaining)
}
