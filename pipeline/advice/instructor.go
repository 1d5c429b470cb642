package advice

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

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
	return append(items, worthChanging(p)...)
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
		if b.Class != "all" {
			continue
		}
		finding := fmt.Sprintf("The period %s will take about %s of plaster (80 %% interval %s)", b.Period, format.Mass(b.PlasterKgP50), format.Interval(format.Mass(b.PlasterKgP10), format.Mass(b.PlasterKgP90)))
		if tables.Has(b.CostP50) {
			finding += ", about " + format.Money(b.CostP50)
		}
		return []Item{{
			For: ForInstructor, Finding: finding + ".", Sheet: SheetBudget,
			Do: fmt.Sprintf("Order %d bags of %s kg: enough in nine periods of ten.", b.Bags, strconv.FormatFloat(p.BagKg, 'f', -1, 64)),
		}}
	}
	return nil
}

func worthChanging(p plaster.Answer) []Item {
	if len(p.Savings) == 0 {
		return nil
	}
	best := slices.MaxFunc(p.Savings, func(a, b plaster.Saving) int { return cmp.Compare(a.PlasterKg, b.PlasterKg) })
	if best.PlasterKg <= 0 {
		return nil
	}
	finding := fmt.Sprintf("What would save most: %s, about %s in the coming period", best.Change, format.Mass(best.PlasterKg))
	if tables.Has(best.Cost) {
		finding += fmt.Sprintf(" (%s)", format.Money(best.Cost))
	}
	return []Item{{For: ForInstructor, Finding: finding + ".", Do: "Mix what the over-mix table advises, and check walls and clay seams before pouring.", Sheet: SheetOvermix}}
}
