package workbook

import (
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/advice"
	"moldwright/pipeline/tables"
)

// topic is a question that the first sheet answers, with the advice that goes
// with it.
type topic struct {
	heading string
	answer  string // in a sentence
	sheet   string // with the figures of that sentence
	items   []advice.Item
}

// topics are this week, the run and the term, then whatever else there is advice for.
func (b *book) topics() []topic {
	week := topic{heading: "This week: which molds to rest, dry or retire, and how long to leave the slip in", answer: b.weekInWords(), sheet: moldsSheet}
	run := topic{heading: "The run: do the orders come in time, and what to pour for them", answer: b.runInWords(), sheet: planSheet}
	term := topic{heading: "The term: plaster mixed, lost, and to order", answer: b.termInWords(), sheet: budgetSheet}
	var others []topic
	for _, it := range b.res.Advice {
		switch {
		case it.Sheet == planSheet || it.Sheet == daySheet || it.For == advice.ForPotter && it.Sheet == remainingSheet:
			run.items = append(run.items, it)
		case it.For == advice.ForPotter || it.For == advice.ForShelf:
			week.items = append(week.items, it)
		case it.For == advice.ForInstructor:
			term.items = append(term.items, it)
		default:
			i := slices.IndexFunc(others, func(t topic) bool { return t.heading == it.For })
			if i < 0 {
				i = len(others)
				others = append(others, topic{heading: it.For})
			}
			others[i].items = append(others[i].items, it)
		}
	}
	all := append([]topic{week, run, term}, others...)
	for i := range all {
		slices.SortStableFunc(all[i].items, func(x, y advice.Item) int { return rank(x) - rank(y) })
	}
	return slices.DeleteFunc(all, func(t topic) bool { return t.answer == "" && len(t.items) == 0 })
}

// weekInWords counts the molds that need something.
func (b *book) weekInWords() string {
	if len(b.res.Wall.States) == 0 {
		return ""
	}
	using := b.shelfFigures()[0].value.text
	var parts []string
	if len(b.res.Watch.Molds) > 0 {
		parts = append(parts, b.watchFigures()[0].value.text+" wear out early")
	}
	if len(b.res.Life.Remaining) > 0 {
		parts = append(parts, b.remainingFigures()[0].value.text+" have 5 casts or fewer left")
	}
	text := "Molds in use: " + using
	if len(parts) > 0 {
		text += "; of these " + strings.Join(parts, ", ")
	}
	return text + "."
}

// runInWords says how many orders come in time and what that takes.
func (b *book) runInWords() string {
	a := b.res.Plan
	if len(a.Orders) == 0 {
		return ""
	}
	text := planInALine(a, b.res.Settings.Plan.Goal)
	molds, by := 0, tables.NoDate
	for _, o := range a.Orders {
		if o.NewMolds <= 0 {
			continue
		}
		molds += int(o.NewMolds)
		if o.PourBy.Valid() && (!by.Valid() || o.PourBy < by) {
			by = o.PourBy
		}
	}
	switch {
	case molds > 0 && by.Valid():
		text += fmt.Sprintf(" New molds to pour: %d, the first by %s.", molds, b.res.Settings.Days.Day(by))
	case molds > 0:
		text += fmt.Sprintf(" New molds to pour: %d.", molds)
	}
	return text
}

// termInWords says what was mixed and lost, and what to order.
func (b *book) termInWords() string {
	in := b.written()
	var parts []string
	for _, w := range b.res.Plaster.By {
		if w.Group == everyone && known(w.WasteKg) {
			parts = append(parts, fmt.Sprintf("Mixed so far: %s, of which %s lost (%s).", in.units.Mass(w.PlasterKg), in.units.Mass(w.WasteKg), percent(w.WasteShare).text))
			break
		}
	}
	if w, ok := b.lastTerm(); ok && known(w.WasteKg) {
		parts = append(parts, fmt.Sprintf("In the last term (%s): %s, of which %s lost.", w.Value, in.units.Mass(w.PlasterKg), in.units.Mass(w.WasteKg)))
	}
	if r, ok := b.allClasses(); ok && r.Bags != tables.NoCount {
		parts = append(parts, fmt.Sprintf("To order for %s: %s %s of %s.", r.Period, count(r.Bags).text, bagWord(r.Bags), in.units.Bag(b.res.Plaster.BagKg)))
	}
	return strings.Join(parts, " ")
}

// lastTerm is the latest term with pours; terms are named so that they sort by time.
func (b *book) lastTerm() (last tables.WasteBy, ok bool) {
	for _, w := range b.res.Plaster.By {
		if w.Group == "term" && w.Value != notGiven && w.Value > last.Value {
			last, ok = w, true
		}
	}
	return last, ok
}

// late reports whether the molds in hand are not enough for an order.
func (b *book) late(o tables.PlanOrder) bool {
	return advice.Verdict(o, b.res.Settings.Plan.Goal) != advice.VerdictFine
}
