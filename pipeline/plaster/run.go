// Package plaster accounts for the plaster of a studio: what each pour needed,
// what became of it, what the waste costs, how much to mix, how deep to saw,
// and what to order for the coming half-year.
//
// It imports tables, history and stats only. Masses are kg of dry plaster
// unless a name says otherwise.
package plaster

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// Run answers the questions about plaster from the pours, gaps, molds and
// prices tables, and from the good casts in log. Pours dated after asOf are left
// out; NoDate stands for the day of the log, or else of the last pour. The
// answer does not depend on anything else: same inputs, same answer.
func Run(studio tables.Studio, log history.Log, set Settings, asOf tables.Date) Answer {
	o, answer := open(studio, log, set, asOf)
	if answer.WhyNot != "" || len(o.entries) == 0 {
		return answer
	}
	book, problems, asOf := o.book, o.problems, o.asOf
	answer.Pours = book.rows()
	answer.By = book.wasteBy()
	estimates := book.estimates(problems)
	answer.Overmix, answer.OvermixFor = book.overmix(estimates), book.overmixFor(estimates)
	mixedAgain := book.replay(estimates)
	answer.Replay = book.replayRows(mixedAgain)
	var ahead outlook
	answer.Budget, ahead = book.budget(asOf, answer.BagKg)
	if len(answer.Budget) > 0 {
		answer.PriceKg = book.prices.cost(1, ahead.coming.first)
		answer.WhatIf = book.whatIf(ahead, mixedAgain, book.longRuns(log, ahead.coming, asOf))
		answer.Savings = savingsOf(answer.WhatIf)
	}
	answer.Notes = book.notes(answer, ahead)
	answer.Problems = problems.rows
	answer.Balances, answer.Mixes, answer.MoldCosts = book.balances(), book.mixes(), book.moldCosts()
	answer.Masses = book.moldMasses(lastWeighings(studio.Casts, asOf))
	return answer
}

// Waste is the part of Run's answer that tells where the plaster went: Pours, By,
// Cuts and the problems met up to there, with BagKg and Priced.
func Waste(studio tables.Studio, log history.Log, set Settings, asOf tables.Date) Answer {
	o, answer := open(studio, log, set, asOf)
	if answer.WhyNot != "" || len(o.entries) == 0 {
		return answer
	}
	answer.Pours, answer.By = o.rows(), o.wasteBy()
	answer.Problems = o.problems.rows
	return answer
}

// opened is the book of the pours as every answer begins with it.
type opened struct {
	book
	problems *problemList
	asOf     tables.Date
}

// open balances the pours. The answer holds what needs no pour; where no pour could
// be used, or with a reason in WhyNot, it is the whole of it.
func open(studio tables.Studio, log history.Log, set Settings, asOf tables.Date) (opened, Answer) {
	problems := &problemList{blocks: studio.Blocks}
	if why := set.wrong(); why != "" {
		return opened{}, Answer{WhyNot: why}
	}
	if studio.Pours.Len() == 0 && studio.Gaps.Len() == 0 {
		return opened{}, Answer{WhyNot: "there is no table of pours"}
	}
	asOf = dayOf(studio, log, asOf)
	entries, pourOf := usablePours(studio, asOf, problems)
	prices := readPrices(studio, nextDay(asOf), set, problems)
	tellEarlyPours(entries, prices, problems)
	links := linkMolds(studio, log, entries, pourOf)
	gaps := gapTables(rowsOf(studio.Gaps), problems)
	o := opened{book: newBook(entries, gaps, links, prices, set, problems), problems: problems, asOf: asOf}
	answer := Answer{BagKg: bagSize(prices, asOf, set), PriceKg: tables.Absent(), Priced: len(prices.plaster) > 0}
	answer.Cuts = cutDepths(studio.Pours, gaps, links, asOf, set, problems)
	if len(entries) == 0 {
		answer.Problems = problems.rows
		if len(answer.Cuts) == 0 {
			answer.WhyNot = "no pour could be used"
		}
	}
	return o, answer
}

// wrong says what makes settings unusable, "" where nothing does.
func (s Settings) wrong() string {
	usable := func(x float64) bool { return x >= 0 && !math.IsInf(x, 0) }
	switch {
	case !usable(s.PlasterDensity) || !usable(s.WaterDensity) || s.PlasterDensity == 0 || s.WaterDensity == 0:
		return "the settings give no usable density of plaster or water: it must be above 0 g/cm³"
	case !usable(s.BagKg) || s.BagKg == 0:
		return "the settings give no usable bag size: it must be above 0 kg"
	case !usable(s.MixConsistency) || s.MixConsistency > 0 && (s.MixConsistency < leastMix || s.MixConsistency > mostMix):
		return "the settings give no usable consistency to mix at: it is parts of water per 100 parts of plaster, so 70 and not 0.7 or 1.43"
	case !usable(s.ReadingErrorMM) || !usable(s.WeighingShare) || !usable(s.SawMarginMM):
		return "the settings give no usable reading error, weighing error or saw margin: each must be 0 or more"
	}
	return ""
}

// Beyond these a consistency to mix at is a slip of the pen, or plaster to water.
const leastMix, mostMix = 30, 200

func dayOf(studio tables.Studio, log history.Log, asOf tables.Date) tables.Date {
	if !asOf.Valid() && len(log.Molds) > 0 {
		asOf = log.AsOf
	}
	if asOf.Valid() {
		return asOf
	}
	last := tables.NoDate
	for _, d := range studio.Pours.Dates("date") {
		last = max(last, d)
	}
	return last
}

// heaviestKg is more than any studio mixes at once.
const heaviestKg = 20000

// usablePours are the pours up to a day that say how much plaster was mixed,
// oldest first, and the numbers of their names.
func usablePours(studio tables.Studio, asOf tables.Date, problems *problemList) ([]entry, numbers) {
	pours, pourOf := make([]entry, 0, studio.Pours.Len()), make(numbers, studio.Pours.Len())
	late := 0
	for _, p := range studio.Pours.Rows() {
		switch {
		case asOf.Valid() && p.Date > asOf:
			late++
		case !(p.PlasterKg > 0) || p.PlasterKg > heaviestKg:
			problems.add(p.Origin, "plaster", tables.Problem{Code: "no-plaster", Severity: tables.SetAside, Value: show(p.PlasterKg),
				Message: fmt.Sprintf("pour %s does not say how much plaster was mixed, or it can't be this", p.Pour), Mend: "correct the plaster mixed and its unit"})
		default:
			if known := len(pourOf); int(pourOf.of(p.Pour)) > known {
				pours = append(pours, entry{Pour: p, number: int32(len(pourOf))})
				continue
			}
			problems.add(p.Origin, "pour", tables.Problem{Code: "pour-twice", Severity: tables.SetAside, Value: p.Pour,
				Message: "a pour of this name stands further up already", Mend: "give each pour its own name, or delete the row if it was entered twice"})
		}
	}
	if late > 0 {
		problems.rows = append(problems.rows, tables.Problem{Code: "after-as-of", Severity: tables.Notice, Value: asOf.String(),
			Message: fmt.Sprintf("%d pours are dated after the day this report speaks of and are left out", late), Mend: "choose a later --as-of, or none"})
	}
	byDate := func(a, b entry) int { return cmp.Compare(a.Date, b.Date) }
	if !slices.IsSortedFunc(pours, byDate) {
		slices.SortStableFunc(pours, byDate)
	}
	return pours, pourOf
}

// tellEarlyPours tells where pours are older than the first price of plaster.
func tellEarlyPours(pours []entry, prices priceList, problems *problemList) {
	if len(prices.plaster) == 0 {
		return
	}
	before := 0
	for _, p := range pours {
		if !prices.began(p.Date) {
			before++
		}
	}
	if before > 0 {
		problems.rows = append(problems.rows, tables.Problem{Code: "before-first-price", Severity: tables.Notice, Value: prices.plaster[0].from.String(),
			Message: fmt.Sprintf("%d pours are older than the first price of plaster; they are counted at that price", before), Mend: "add the earlier price to the price list"})
	}
}

// bagSize is the size of the bags that the price list names on a day, kg.
func bagSize(prices priceList, asOf tables.Date, set Settings) float64 {
	if p, ok := prices.at(nextDay(asOf)); ok && p.bagKg > 0 {
		return p.bagKg
	}
	return set.BagKg
}

// nextDay is the day after, NoDate after NoDate.
func nextDay(d tables.Date) tables.Date {
	if !d.Valid() {
		return d
	}
	return d + 1
}

func rowsOf[R tables.Row](f tables.Frame[R]) []R {
	rows := make([]R, 0, f.Len())
	for _, r := range f.Rows() {
		rows = append(rows, r)
	}
	return rows
}
