package plaster

import (
	"fmt"
	"slices"

	"moldwright/pipeline/tables"
)

// notes are the assumptions behind the answer, in plain words.
func (b book) notes(a Answer, ahead outlook) []string {
	notes := append(b.mixNotes(), b.balanceNotes()...)
	notes = append(notes, b.overmixNotes(a)...)
	notes = append(notes, b.budgetNotes(a, ahead)...)
	if !a.Priced {
		return append(notes, "There is no price of plaster, so there are no costs.")
	}
	return append(notes, "Costs are of plaster alone, at the price in force on the day of the pour.")
}

func (b book) mixNotes() []string {
	usual := Slurry{Consistency: b.usualConsistency(), PlasterDensity: b.set.PlasterDensity, WaterDensity: b.set.WaterDensity}
	return []string{
		fmt.Sprintf("Plaster has %.2f g/cm³ (β hemihydrate about 2.63, α about 2.76), water %.3f. At your usual consistency of %.0f a kilogram of plaster makes %.2f L of slurry; "+
			"the dry mold has %.2f kg/L and %.0f %% pores, after %.2f kg of water per kilogram of plaster has dried off.",
			usual.PlasterDensity, usual.WaterDensity, usual.Consistency, usual.LitersPerKg(), usual.DryDensity(), 100*usual.Porosity(), usual.WaterToDry()),
		"The needed volume takes the highest measured height for the top of the model, and lets the model go straight down below the lowest. " +
			"With fewer than four gaps at a height its outline is taken as a circle or an oval that follows the containment wall: a model with corners is larger than that.",
		fmt.Sprintf("Readings of gaps, heights and widths are taken to be off by %.1f mm, a model volume by %.0f %%, weighed masses by %.1f %% (one standard error).",
			b.set.ReadingErrorMM, 100*modelVolumeShare, 100*b.set.WeighingShare),
	}
}

// usualConsistency is the median over the pours.
func (b book) usualConsistency() float64 {
	var all []float64
	for _, e := range b.entries {
		if c := consistencyOf(e.Pour); tables.Has(c) {
			all = append(all, c)
		}
	}
	if len(all) == 0 {
		return commonConsistency
	}
	slices.Sort(all)
	n := len(all)
	return (all[(n-1)/2] + all[n/2]) / 2
}

func (b book) balanceNotes() []string {
	notes := []string{
		"Leftovers and spills are slurry with plaster and water as they were mixed, and so are trimmings, weighed fresh; a column headed dry plaster is taken as that.",
		fmt.Sprintf("A pour that is not good is lost whole, unless the molds table has a mold from it that is or was in use. Plaster on bucket and tools that nobody weighs is taken as 0 ± %.0f %% of the mix.", 100*unweighedShare),
	}
	unknown := 0
	for _, e := range b.entries {
		if !e.known() {
			unknown++
		}
	}
	if unknown > 0 {
		notes = append(notes, fmt.Sprintf("The waste of %d of %d pours is not known: neither was the leftover weighed nor do gaps tell what the mold needed. They count among the plaster mixed, not in the waste or its share.", unknown, len(b.entries)))
	}
	return notes
}

func (b book) overmixNotes(a Answer) []string {
	if len(a.Overmix) == 0 {
		return []string{fmt.Sprintf("There is no advice on how much more to mix: it needs %d pours with gaps measured and the leftover weighed.", fewestEstimates)}
	}
	cost := "its plaster; labour has no price, so it does not count"
	if tables.Has(b.prices.labour) && a.Priced {
		cost = fmt.Sprintf("its plaster and the labour of pouring it (%d hour where labour is priced by the hour)", hoursPerMold)
	}
	notes := []string{fmt.Sprintf("The advice on how much more to mix weighs a spare kilogram against a lost mold, which costs %s. "+
		"If you estimate by the quart rule, 4 to 7 %% are in it already: don't add a second allowance.", cost)}
	if slices.ContainsFunc(a.Overmix, func(o tables.Overmix) bool { return o.AdvisedOvermixShare >= mostOvermix }) {
		notes = append(notes, fmt.Sprintf("The advice stops at %.0f %% more: where molds take that much more than their gaps call for, the gaps or the inside of the containment wall mislead.", 100*mostOvermix))
	}
	return notes
}
