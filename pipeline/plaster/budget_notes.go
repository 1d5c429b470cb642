package plaster

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"moldwright/pipeline/tables"
)

// budgetNotes say what the budget rests on.
func (b book) budgetNotes(a Answer, ahead outlook) []string {
	if len(a.Budget) == 0 {
		return []string{"There is no budget: no pour of the last five years tells how often plaster is poured, and no pours are planned."}
	}
	notes := []string{fmt.Sprintf("The budget is for %s, the next half of a calendar year that begins after the day of the report, or the rest of one that has just begun. "+
		"It holds plaster as it was mixed, waste and failed pours and all; what is in stock is not taken off. Bags are enough in nine such terms of ten.", ahead.coming)}
	notes = append(notes, b.countNotes(ahead)...)
	notes = append(notes, b.planNotes()...)
	if a.Priced {
		notes = append(notes, b.priceNote(a, ahead))
	}
	if len(a.WhatIf) > 0 {
		notes = append(notes, "What changes would save is drawn term by term with the budget; savings of several changes overlap and do not add. A short pour under the over-mix advice is counted with its second mix.")
	}
	return notes
}

func (b book) countNotes(ahead outlook) []string {
	if !ahead.fitted {
		return nil
	}
	m := ahead.model
	seen := fmt.Sprintf("the same months of %d earlier years and what lies between them", m.likeYears)
	switch m.likeYears {
	case 0:
		seen = "months of another season alone, so it allows for a season that differs"
	case 1:
		seen = "the same months of one earlier year and what lies between"
	}
	law := "Their AICc prefers Poisson counts to negative binomial ones"
	if m.spread < m.poisson {
		law = "Their AICc prefers negative binomial counts to Poisson ones"
	}
	if math.IsInf(m.poisson, 1) || math.IsInf(m.spread, 1) {
		law = "They are too few parts of the log to tell Poisson from negative binomial counts"
	}
	return []string{fmt.Sprintf("The number of pours comes from %d parts of the log: %s. %s; the forecast weighs every scatter between years by its likelihood and by the belief that enrolments differ by about a third "+
		"(common practice, no source), here %.0f %% beyond chance in the middle. The plaster of each pour is drawn from the class's own pours, leaning on all.",
		len(ahead.windows), seen, law, 100*m.share)}
}

func (b book) planNotes() []string {
	if len(b.set.PlannedPours) == 0 {
		return nil
	}
	notes := []string{"Pours planned are counted as they stand, those that may fail included; rows of the pours sheet dated after the day of the report are not taken for a plan."}
	known := map[string]bool{}
	for _, c := range b.byClass() {
		known[fold(c.name)] = true
	}
	var unknown []string
	for name := range b.set.PlannedPours {
		if !known[fold(name)] {
			unknown = append(unknown, strings.TrimSpace(name))
		}
	}
	if len(unknown) > 0 {
		slices.Sort(unknown)
		notes = append(notes, fmt.Sprintf("No pour on file is of class %s, for which pours are planned: its plaster is taken to be like that of all classes. Write the class as the pours sheet does if it is not a new one.", strings.Join(unknown, ", ")))
	}
	return notes
}

// priceNote says which price was used, and what a change that the list already
// names would make of it.
func (b book) priceNote(a Answer, ahead outlook) string {
	note := "The budget is at the price in force on the day of the report; a later change of price is not known"
	all := a.Budget[len(a.Budget)-1]
	now, _ := b.prices.at(ahead.coming.first)
	i := slices.IndexFunc(b.prices.announced, func(p plasterPrice) bool { return p.from <= ahead.coming.last })
	if i < 0 || !tables.Has(all.PlasterKgP50) || now.perKg <= 0 {
		return note + "."
	}
	next := b.prices.announced[i]
	return fmt.Sprintf("%s, but the list names one from %s on: at that price the plaster of the middle forecast costs %.0f %% of what the budget says.", note, next.from, 100*next.perKg/now.perKg)
}
