package advice

import (
	"cmp"
	"fmt"
	"slices"
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
	items = append(items, whereItWent(p, in.Units)...)
	items = append(items, outOfLine(p, in.Units)...)
	items = append(items, order(p, in.Units)...)
	items = append(items, worthChanging(p, in.Units)...)
	return append(items, overmixing(p, in.Units)...)
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

func whereItWent(p plaster.Answer, u format.Units) []Item {
	all := group(p, "all")
	if len(all) == 0 || !tables.Has(all[0].WasteKg) {
		return nil
	}
	a := all[0]
	finding := fmt.Sprintf("Of %s of plaster mixed in %d pours, %s (%s) is in no usable mold", u.Mass(a.PlasterKg), a.Pours, u.Mass(a.WasteKg), format.Percent(a.WasteShare))
	if tables.Has(a.Cost) {
		finding += ", worth " + format.Money(a.Cost) + " by the price list"
	}
	finding += "."
	causes := group(p, "cause")
	slices.SortStableFunc(causes, func(x, y tables.WasteBy) int { return cmp.Compare(y.WasteKg, x.WasteKg) })
	if len(causes) > 0 && causes[0].WasteKg > 0 {
		finding += fmt.Sprintf(" The largest part is %s: %s.", causes[0].Value, u.Mass(causes[0].WasteKg))
	}
	return []Item{{For: ForInstructor, Finding: finding, Do: "Look at the pours that lost most, and at what they have in common.", Sheet: SheetWaste, About: GroupName(a)}}
}

// GroupName names a group of pours: "class C1".
func GroupName(w tables.WasteBy) string { return w.Group + " " + w.Value }

// aboveUsual is the verdict on a group that wastes more than chance explains.
const aboveUsual = "above usual"

// notGiven names the group of rows that say nothing of what they are grouped by.
const notGiven = "not given"

// outOfLine names the class, the maker and the term that waste more than
// chance explains. Where no class does, it says so, so that nobody is blamed
// for ordinary scatter.
func outOfLine(p plaster.Answer, u format.Units) []Item {
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
				For: ForInstructor, Sheet: SheetWaste, Do: g.do, About: GroupName(top),
				Brief: fmt.Sprintf("%s %s wasted %s of its plaster, more than chance explains", capital(g.group), top.Value, format.Percent(top.WasteShare)),
				Finding: fmt.Sprintf("%s %s wastes more than chance explains: %s of its plaster in %s, where so many pours usually waste %s; expect %s (80 %% interval %s).",
					capital(g.group), top.Value, format.Percent(top.WasteShare), plural(int(top.Pours), "pour"), format.Interval(format.Percent(top.UsualLower), format.Percent(top.UsualUpper)),
					format.Percent(top.ShrunkShare), format.Interval(format.Percent(top.Lower80), format.Percent(top.Upper80))),
			})
			continue
		}
		if g.group == "term" {
			items = append(items, worstTerm(rows, g.do, u)...)
		}
		if g.group == "class" && len(rows) > 1 {
			least := rows[len(rows)-1]
			items = append(items, Item{
				For: ForInstructor, Sheet: SheetWaste, About: GroupName(top),
				Finding: fmt.Sprintf("No class wastes more than chance explains. To expect, allowing for how few pours there are: %s of its plaster for %s (80 %% interval %s), %s for %s (%s).",
					format.Percent(top.ShrunkShare), top.Value, format.Interval(format.Percent(top.Lower80), format.Percent(top.Upper80)),
					format.Percent(least.ShrunkShare), least.Value, format.Interval(format.Percent(least.Lower80), format.Percent(least.Upper80))),
				Do: "Don't call a class the worst on this. Work on the causes that all share.",
			})
		}
	}
	return items
}

const (
	// A term stands out that wasted so many times the share of the others together …
	standsOut = 1.5
	// … in so many pours.
	leastTermPours = 5
)

// worstTerm tells of a term that wasted far more than the others without being
// beyond chance: worth a look, and no verdict.
func worstTerm(rows []tables.WasteBy, do string, u format.Units) []Item {
	top := slices.MaxFunc(rows, func(a, b tables.WasteBy) int { return cmp.Compare(a.WasteShare, b.WasteShare) })
	var mixed, wasted float64
	for _, w := range rows {
		if w.Value != top.Value {
			mixed, wasted = mixed+w.PlasterKg, wasted+w.WasteKg
		}
	}
	if mixed <= 0 || int(top.Pours) < leastTermPours || !(top.WasteShare > standsOut*wasted/mixed) {
		return nil
	}
	lost := fmt.Sprintf("the term %s wasted %s of its plaster, the others %s", top.Value, format.Percent(top.WasteShare), format.Percent(wasted/mixed))
	return []Item{{
		For: ForInstructor, Sheet: SheetWaste, Do: do, About: GroupName(top), Brief: capital(lost),
		Finding: fmt.Sprintf("%s: %s of %s in %s. Among so many pours chance alone gives %s, so look before anyone is blamed.", capital(lost),
			u.Mass(top.WasteKg), u.Mass(top.PlasterKg), plural(int(top.Pours), "pour"), format.Interval(format.Percent(top.UsualLower), format.Percent(top.UsualUpper))),
	}}
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

func order(p plaster.Answer, u format.Units) []Item {
	for _, b := range p.Budget {
		if b.Class != "all" || b.PlasterKgP90 <= 0 {
			continue
		}
		finding := fmt.Sprintf("The term %s will take about %s of plaster (80 %% interval %s)", b.Period, u.About(b.PlasterKgP50), format.Interval(u.About(b.PlasterKgP10), u.About(b.PlasterKgP90)))
		if tables.Has(b.CostP50) {
			finding += fmt.Sprintf(", about %s in money (%s)", format.Rounded(b.CostP50), format.Interval(format.Rounded(b.CostP10), format.Rounded(b.CostP90)))
		}
		return []Item{{
			For: ForInstructor, Finding: finding + ".", Sheet: SheetBudget, About: b.Class,
			Do: fmt.Sprintf("Order %s of %s: enough in nine terms of ten. Take off what is in stock.", plural(int(b.Bags), "bag"), u.Bag(p.BagKg)),
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

// worthChanging names the change that would save most of the coming term's plaster.
func worthChanging(p plaster.Answer, u format.Units) []Item {
	if len(p.WhatIf) == 0 {
		return nil
	}
	best := slices.MaxFunc(p.WhatIf, func(a, b tables.BudgetWhatIf) int { return cmp.Compare(a.SavedKg, b.SavedKg) })
	if best.SavedKg <= 0 {
		return nil
	}
	finding := fmt.Sprintf("What would save most: %s, about %s in the coming term (80 %% interval %s)", best.Change, u.About(best.SavedKg),
		format.Interval(u.About(best.SavedLower80), u.About(best.SavedUpper80)))
	if tables.Has(best.SavedCost) {
		finding += fmt.Sprintf(", about %s in money", format.Rounded(best.SavedCost))
	}
	return []Item{{For: ForInstructor, Finding: finding + ".", Do: "See the other changes on the budget sheet; check walls and clay seams before pouring, and weigh what is left over.", Sheet: SheetBudget, About: best.Change}}
}

const (
	// A maker is named from so many pours on.
	leastMakerPours = 3
	// Less beyond the advice is not worth a word.
	worthTelling = 0.05
)

// overmixing tells what the advice would have brought, and who mixes furthest
// beyond it.
func overmixing(p plaster.Answer, u format.Units) []Item {
	if len(p.Replay) == 0 || p.Replay[0].NetSavedKg <= 0 || !tables.Has(p.Replay[0].NetLower80) {
		return nil
	}
	r := p.Replay[0]
	finding := fmt.Sprintf("Mixed as advised from what was known before each, %d past pours would have taken about %s less plaster, second mixes for short pours counted (80 %% interval %s).",
		r.Pours, u.About(r.NetSavedKg), format.Interval(u.About(r.NetLower80), u.About(r.NetUpper80)))
	if m, ok := mostBeyond(p.OvermixFor); ok {
		finding += fmt.Sprintf(" %s mixes %s more than the gaps call for (middle of %d pours); %s would do.", m.Maker, format.Percent(m.UsualOvermixShare), m.Pours, format.Percent(m.AdvisedOvermixShare))
	}
	return []Item{{For: ForInstructor, Finding: finding, Do: "Mix what the over-mix table advises.", Sheet: SheetOvermix, About: r.Group + " " + r.Value}}
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
