package plaster

import (
	"fmt"
	"slices"

	"moldwright/pipeline/tables"
)

// notes are the assumptions behind the answer, in plain words.
func (b book) notes(a Answer, ahead outlook) []string {
	notes := append(b.mixNotes(), b.balanceNotes()...)
	notes = append(notes, groupNotes()...)
	notes = append(notes, b.cutNotes(a)...)
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
	for i := range b.entries {
		if c := consistencyOf(b.entries[i].Pour); tables.Has(c) {
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
		"A pour that is not good is lost whole, unless the molds table has a mold from it that is or was in use.",
		fmt.Sprintf("What nobody weighs is lost all the same and counts as unexplained: %.1f ± %.1f %% of the mix stays on bucket and tools, and trimmings that were not weighed are %.1f ± %.1f %% of the plaster in the mold. "+
			"These are your studio's own habits as far as its weighings tell, and common practice otherwise.",
			100*b.habits.residue.mean, 100*b.habits.residue.spread, 100*b.habits.trimmed.mean, 100*b.habits.trimmed.spread),
	}
	unknown := 0
	for i := range b.entries {
		if !b.entries[i].known() {
			unknown++
		}
	}
	if unknown > 0 {
		notes = append(notes, fmt.Sprintf("The waste of %d of %d pours is not known: neither was the leftover weighed nor do gaps tell what the mold needed. They count among the plaster mixed, not in the waste or its share.", unknown, len(b.entries)))
	}
	return notes
}

func groupNotes() []string {
	return []string{
		"A group's share of waste to expect leans on that of all groups, the more the fewer its pours, so that two pours that failed don't make a class the worst. " +
			fmt.Sprintf("A group is called above or below usual where so many pours, dealt from all without looking, would hardly ever come out so: in one way of grouping in %d any group is called by chance.", callsInGroupings),
		"Terms are halves of a calendar year, January to June and July to December, as in the budget.",
		fmt.Sprintf("A mold is dry when it weighs what its plaster comes to as gypsum, %.3f kg for each kilogram of plaster in it. Dry below about 45 °C; gypsum loses water of its own above about 50 °C.", gypsumPerKg),
		"Plaster and money per good cast charge the plaster of failed pours to the molds of their kind that can be used. Over a whole life a mold makes the casts it made and the middle forecast of those to come.",
	}
}

func (b book) cutNotes(a Answer) []string {
	if len(a.Cuts) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("The cut depths are two thirds of the smallest measured gap and stay %.0f mm from the model. They are only as good as the measured gaps: "+
		"between two heights, and between the directions measured, the model may stand nearer. Leave at least 25 mm, better 50 mm, between model and containment wall.", b.set.SawMargin())}
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
