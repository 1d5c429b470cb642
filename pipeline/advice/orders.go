package advice

import (
	"fmt"
	"strings"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// Verdicts on an order: what it calls for.
const (
	VerdictFine = "on time"      // the molds in hand give it the chance that was asked for
	VerdictPour = "pour molds"   // new molds raise the chance, to the goal or as far as there is time
	VerdictMove = "move the day" // nothing that can be poured in time helps; a later day is named
	VerdictNone = "no plan"      // why is said beside it
)

// Verdict says what a planned order calls for. Goal is the chance on time that
// is asked for, in (0,1).
func Verdict(o tables.PlanOrder, goal float64) string {
	switch {
	case tables.Has(o.ChanceOnTime) && (o.ChanceOnTime >= goal || o.NewMolds == 0):
		return VerdictFine
	case o.NewMolds > 0:
		return VerdictPour
	case o.FeasibleBy.Valid() && o.FeasibleBy > o.Due:
		return VerdictMove
	}
	return VerdictNone
}

// EnoughNewMolds reports whether the new molds advised reach the goal.
func EnoughNewMolds(o tables.PlanOrder, goal float64) bool {
	return o.NewMolds > 0 && tables.Has(o.ChanceWithNew) && o.ChanceWithNew >= goal
}

// orders says of each order whether it comes in time and what to do about it:
// by the run plan, or by a first look where there is none.
func orders(in Input) []Item {
	if in.Plan.WhyNot != "" || len(in.Plan.Orders) == 0 {
		return firstLook(in)
	}
	var items []Item
	for _, o := range in.Plan.Orders {
		if o.Due < in.Log.AsOf {
			continue // history; it stands in the run plan, with the day it could be promised for
		}
		items = append(items, plannedItem(o, in.Goal, in.Days))
	}
	return items
}

func plannedItem(o tables.PlanOrder, goal float64, days format.Days) Item {
	it := Item{For: ForPotter, Sheet: SheetPlan, About: OrderName(o), Urgent: true, Finding: WantedInWords(o, days) + " " + ChanceInWords(o), Do: Deed(o, goal, days), Brief: briefly(o, days)}
	if Verdict(o, goal) == VerdictFine {
		it.Urgent, it.Sheet = false, SheetDay
	}
	return it
}

// briefly is an order and its chances in a dozen words.
func briefly(o tables.PlanOrder, days format.Days) string {
	text := strings.TrimSuffix(WantedInWords(o, days), ".")
	switch {
	case !tables.Has(o.ChanceOnTime):
		return text + ", no plan"
	case o.NewMolds > 0 && tables.Has(o.ChanceWithNew):
		return text + fmt.Sprintf(", on time %s as it stands and %s with %s", format.Chance(o.ChanceOnTime), format.Chance(o.ChanceWithNew), newMolds(o))
	}
	return text + ", on time " + format.Chance(o.ChanceOnTime)
}

// OrderName tells an order from others of its form: "2: bottle".
func OrderName(o tables.PlanOrder) string {
	if o.Order == tables.NoCount {
		return o.Form
	}
	return fmt.Sprintf("%d: %s", o.Order, o.Form)
}

// Deed says what to do about an order, its days written as asked for.
func Deed(o tables.PlanOrder, goal float64, days format.Days) string {
	switch Verdict(o, goal) {
	case VerdictFine:
		return "Cast by the day sheet."
	case VerdictPour:
		deed := fmt.Sprintf("Pour %s by %s: the mix sheet says how.", newMolds(o), days.Day(o.PourBy))
		if !EnoughNewMolds(o, goal) {
			deed += laterDay(o, goal, days)
		}
		return deed
	case VerdictMove:
		return strings.TrimSpace(laterDay(o, goal, days))
	}
	if tables.Has(o.ChanceOnTime) {
		return "Take fewer pieces, or more molds and days than the plan may use."
	}
	return "Mend the order."
}

// WantedInWords is "bowl: 60 pieces by 2026-02-19."
func WantedInWords(o tables.PlanOrder, days format.Days) string {
	if o.Pieces == tables.NoCount {
		return fmt.Sprintf("%s, due %s.", o.Form, days.Day(o.Due))
	}
	return fmt.Sprintf("%s: %s by %s.", o.Form, format.Pieces(int(o.Pieces)), days.Day(o.Due))
}

// ChanceInWords says how likely an order is to come in time, or why that is not
// known, in whole sentences.
func ChanceInWords(o tables.PlanOrder) string {
	if !tables.Has(o.ChanceOnTime) {
		if o.WhyNot == "" {
			return "No plan could be made for it."
		}
		return "No plan: " + o.WhyNot + "."
	}
	text := fmt.Sprintf("On time %s (%s) with %s in hand", format.Likely(o.ChanceOnTime), format.Chance(o.ChanceOnTime), moldsInHand(o))
	if o.ShortP90 > 0 {
		text += fmt.Sprintf("; in one run of ten more than %s would be missing", format.Pieces(int(o.ShortP90)))
	}
	text += "."
	if o.NewMolds > 0 && tables.Has(o.ChanceWithNew) {
		text += fmt.Sprintf(" With %s: %s.", newMolds(o), format.Chance(o.ChanceWithNew))
	}
	if o.WhyNot != "" {
		text += " " + sentenceOf(o.WhyNot)
	}
	return text
}

func moldsInHand(o tables.PlanOrder) string {
	switch {
	case o.MoldsInHand == tables.NoCount:
		return "the molds"
	case o.MoldsInHand == 0:
		return "no mold"
	case o.MoldsInHand == 1:
		return "the one mold"
	}
	return "the " + format.Molds(int(o.MoldsInHand))
}

func newMolds(o tables.PlanOrder) string {
	if o.NewMolds == 1 {
		return "1 new mold"
	}
	return fmt.Sprintf("%d new molds", o.NewMolds)
}

// laterDay names the first due day that can be kept, with a space before it.
func laterDay(o tables.PlanOrder, goal float64, days format.Days) string {
	if !o.FeasibleBy.Valid() || o.FeasibleBy <= o.Due {
		return " Take fewer pieces, or ask for a later day."
	}
	return fmt.Sprintf(" Ask for %s or later: the first day with a chance of %s.", days.Day(o.FeasibleBy), format.Percent(goal))
}
