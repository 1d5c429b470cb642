package advice

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"moldwright/pipeline/format"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
)

// instructor says where the plaster went and what to order.
func instructor(in Input) []Item {
	p := in.Plaster
	if p.WhyNot != "" {
		return nil
	}
	var items []Item
	items = append(items, whereItWent(p)...)
	items = append(items, worstClass(p)...)
	items = append(items, order(p)...)
	items = append(items, worthChanging(p)...)
	return append(items, overmixing(p)...)
}

func group(p plaster.Answer, name string) []tables.WasteBy {
	var rows []tables.WasteBy
	for _, w := range p.By {
		if w.Group == name {
			rows = append(rows, w)
		}
	}
	return rows
}

func whereItWent(p plaster.Answer) []Item {
	all := group(p, "all")
	if len(all) == 0 || !tables.Has(all[0].WasteKg) {
		return nil
	}
	a := all[0]
	finding := fmt.Sprintf("Of %s of plaster mixed in %d pours, %s (%s) is in no usable mold", format.Mass(a.PlasterKg), a.Pours, format.Mass(a.WasteKg), format.Percent(a.WasteShare))
	if tables.Has(a.Cost) {
		finding += ", worth " + format.Money(a.Cost) + " by the price list"
	}
	finding += "."
	causes := group(p, "cause")
	slices.SortStableFunc(causes, func(x, y tables.WasteBy) int { return cmp.Compare(y.WasteKg, x.WasteKg) })
	if len(causes) > 0 && causes[0].WasteKg > 0 {
		finding += fmt.Sprintf(" The largest part is %s: %s.", causes[0].Value, format.Mass(causes[0].WasteKg))
	}
	return []Item{{For: ForInstructor, Finding: finding, Do: "Look at the pours that lost most, and at what they have in common.", Sheet: SheetWaste}}
}

// leastPours is how many pours a class needs before it is called the worst: two
// are chance.
const leastPours = 5

func worstClass(p plaster.Answer) []Item {
	var rows []tables.WasteBy
	for _, w := range group(p, "class") {
		if w.Pours >= leastPours && tables.Has(w.WasteShare) {
			rows = append(rows, w)
		}
	}
	if len(rows) < 2 {
		return nil
	}
	slices.SortStableFunc(rows, func(x, y tables.WasteBy) int { return cmp.Compare(y.WasteShare, x.WasteShare) })
	top, least := rows[0], rows[len(rows)-1]
	return []Item{{
		For: ForInstructor, Sheet: SheetWaste,
		Finding: fmt.Sprintf("%s lost %s of its plaster in %d pours, %s %s in %d.", top.Value, format.Percent(top.WasteShare), top.Pours, least.Value, format.Percent(least.WasteShare), least.Pours),
		Do:      "Compare how the two measure and mix before the next term; few pours can differ by chance.",
	}}
}

func order(p plaster.Answer) []Item {
	for _, b := range p.Budget {
		if b.Class != "all" || b.PlasterKgP90 <= 0 {
			continue
		}
		finding := fmt.Sprintf("The term %s will take about %s of plaster (80 %% interval %s)", b.Period, about(b.PlasterKgP50, "kg"), format.Interval(about(b.PlasterKgP10, "kg"), about(b.PlasterKgP90, "kg")))
		if tables.Has(b.CostP50) {
			finding += fmt.Sprintf(", about %s in money (%s)", about(b.CostP50, ""), format.Interval(about(b.CostP10, ""), about(b.CostP90, "")))
		}
		bag := strconv.FormatFloat(p.BagKg, 'f', -1, 64)
		return []Item{{
			For: ForInstructor, Finding: finding + ".", Sheet: SheetBudget,
			Do: fmt.Sprintf("Order %s of %s kg: enough in nine terms of ten. Take off what is in stock.", plural(int(b.Bags), "bag"), bag),
		}}
	}
	return nil
}

func plural(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// about writes a forecast to the two digits that are known of it at most.
func about(x float64, unit string) string {
	if x != 0 {
		step := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-1)
		x = math.Round(x/step) * step
	}
	return strings.TrimSpace(format.Significant(x, 2) + " " + unit)
}

// worthChanging names the change that would save most of the coming term's plaster.
func worthChanging(p plaster.Answer) []Item {
	if len(p.WhatIf) == 0 {
		return nil
	}
	best := slices.MaxFunc(p.WhatIf, func(a, b tables.BudgetWhatIf) int { return cmp.Compare(a.SavedKg, b.SavedKg) })
	if best.SavedKg <= 0 {
		return nil
	}
	finding := fmt.Sprintf("What would save most: %s, about %s in the coming term (80 %% interval %s)", best.Change, about(best.SavedKg, "kg"),
		format.Interval(about(best.SavedLower80, "kg"), about(best.SavedUpper80, "kg")))
	if tables.Has(best.SavedCost) {
		finding += fmt.Sprintf(", about %s in money", about(best.SavedCost, ""))
	}
	return []Item{{For: ForInstructor, Finding: finding + ".", Do: "See the other changes on the budget sheet; check walls and clay seams before pouring, and weigh what is left over.", Sheet: SheetBudget}}
}

const (
	// A maker is named from so many pours on.
	leastMakerPours = 3
	// Less beyond the advice is not worth a word.
	worthTelling = 0.05
)

// overmixing tells what the advice would have brought, and who mixes furthest
// beyond it.
func overmixing(p plaster.Answer) []Item {
	if len(p.Replay) == 0 || p.Replay[0].NetSavedKg <= 0 || !tables.Has(p.Replay[0].NetLower80) {
		return nil
	}
	r := p.Replay[0]
	finding := fmt.Sprintf("Mixed as advised from what was known before each, %d past pours would have taken about %s less plaster, second mixes for short pours counted (80 %% interval %s).",
		r.Pours, about(r.NetSavedKg, "kg"), format.Interval(about(r.NetLower80, "kg"), about(r.NetUpper80, "kg")))
	if m, ok := mostBeyond(p.OvermixFor); ok {
		finding += fmt.Sprintf(" %s mixes %s more than the gaps call for (middle of %d pours); %s would do.", m.Maker, format.Percent(m.UsualOvermixShare), m.Pours, format.Percent(m.AdvisedOvermixShare))
	}
	return []Item{{For: ForInstructor, Finding: finding, Do: "Mix what the over-mix table advises.", Sheet: SheetOvermix}}
}

// mostBeyond is the maker whose usual over-mix is furthest beyond the advice.
func mostBeyond(rows []tables.OvermixFor) (worst tables.OvermixFor, ok bool) {
	beyond := worthTelling
	for _, r := range rows {
		if r.Form != "all" || r.Maker == "all" || r.Pours < leastMakerPours {
			continue
		}
		if d := r.UsualOvermixShare - r.AdvisedOvermixShare; d > beyond {
			worst, beyond, ok = r, d, true
		}
	}
	return worst, ok
}
