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
	items = append(items, outOfLine(p)...)
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

// aboveUsual is the verdict on a group that wastes more than chance explains.
const aboveUsual = "above usual"

// notGiven names the group of rows that say nothing of what they are grouped by.
const notGiven = "not given"

// outOfLine names the class, the maker and the term that waste more than
// chance explains. Where no class does, it says so, so that nobody is blamed
// for ordinary scatter.
func outOfLine(p plaster.Answer) []Item {
	var items []Item
	for _, g := range []struct{ group, do string }{
		{"class", "See what its pours have in common, and compare how it measures and mixes with the others before the next term."},
		{"maker", "Mix and pour the next mold together, gaps measured, and look at where it goes wrong."},
		{"term", "Look at what was different then: plaster, recipe, makers, how much time there was."},
	} {
		rows := judged(p, g.group)
		if len(rows) == 0 {
			continue
		}
		top := rows[0]
		if i := slices.IndexFunc(rows, func(w tables.WasteBy) bool { return w.Verdict == aboveUsual }); i >= 0 {
			top = rows[i]
			items = append(items, Item{
				For: ForInstructor, Sheet: SheetWaste, Do: g.do,
				Finding: fmt.Sprintf("%s %s wastes more than chance explains: %s of its plaster in %s, where so many pours usually waste %s; expect %s (80 %% interval %s).",
					capital(g.group), top.Value, format.Percent(top.WasteShare), plural(int(top.Pours), "pour"), format.Interval(format.Percent(top.UsualLower), format.Percent(top.UsualUpper)),
					format.Percent(top.ShrunkShare), format.Interval(format.Percent(top.Lower80), format.Percent(top.Upper80))),
			})
			continue
		}
		if g.group == "class" && len(rows) > 1 {
			least := rows[len(rows)-1]
			items = append(items, Item{
				For: ForInstructor, Sheet: SheetWaste,
				Finding: fmt.Sprintf("No class wastes more than chance explains. To expect, allowing for how few pours there are: %s of its plaster for %s (80 %% interval %s), %s for %s (%s).",
					format.Percent(top.ShrunkShare), top.Value, format.Interval(format.Percent(top.Lower80), format.Percent(top.Upper80)),
					format.Percent(least.ShrunkShare), least.Value, format.Interval(format.Percent(least.Lower80), format.Percent(least.Upper80))),
				Do: "Don't call a class the worst on this. Work on the causes that all share.",
			})
		}
	}
	return items
}

// judged are the groups with a verdict, the largest share to expect first.
func judged(p plaster.Answer, name string) []tables.WasteBy {
	rows := slices.DeleteFunc(group(p, name), func(w tables.WasteBy) bool {
		return w.Verdict == "" || w.Value == notGiven || !tables.Has(w.ShrunkShare)
	})
	slices.SortStableFunc(rows, func(x, y tables.WasteBy) int { return cmp.Compare(y.ShrunkShare, x.ShrunkShare) })
	return rows
}

func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

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
