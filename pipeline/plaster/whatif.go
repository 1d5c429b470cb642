package plaster

import (
	"fmt"
	"slices"

	"moldwright/pipeline/tables"
)

// change is something that could be done otherwise, with the plaster that it
// would save in each simulated term.
type change struct {
	words, basis string
	savedKg      []float64
}

// whatIf is what changes would save in the coming term, drawn term by term with
// the budget's own draws. Changes overlap: their savings do not add.
func (b book) whatIf(o outlook, mixedAgain []remix, made []conventional) []tables.BudgetWhatIf {
	if len(o.total.kg) == 0 {
		return nil
	}
	changes := b.halved(o)
	if c, ok := b.asAdvised(o, mixedAgain); ok {
		changes = append(changes, c)
	}
	for _, m := range made {
		changes = append(changes, b.conventionalChange(o, m))
	}
	var rows []tables.BudgetWhatIf
	for _, c := range changes {
		after := make([]float64, len(c.savedKg))
		for i, saved := range c.savedKg {
			after[i] = max(0, o.total.kg[i]-saved)
		}
		saved, left := quantiles(c.savedKg), quantiles(after)
		rows = append(rows, tables.BudgetWhatIf{
			Change: c.words, PlasterKg: left[1], SavedKg: saved[1], SavedLower80: saved[0], SavedUpper80: saved[2],
			Cost: b.prices.cost(left[1], o.coming.first), SavedCost: b.prices.cost(saved[1], o.coming.first), Basis: c.basis,
		})
	}
	return rows
}

// halvedPart is what of a pour a change would halve, kg.
type halvedPart struct {
	words string
	of    func(*entry) float64
}

// halvedParts are the causes of waste that one can do something about. A failed
// pour counts whole, with what was left over from it: it would not be
// mixed again. The other causes count in pours that made a mold. What is
// unexplained has no cause to halve.
func halvedParts() []halvedPart {
	inGood := func(cause string) func(*entry) float64 {
		return func(e *entry) float64 {
			if !e.usable {
				return 0
			}
			return e.parts.of(cause)
		}
	}
	return []halvedPart{
		{"halving the failed pours", func(e *entry) float64 {
			if e.usable {
				return 0
			}
			return e.PlasterKg
		}},
		{"halving the plaster left over", inGood(causeLeftover)},
		{"halving the spills", inGood(causeSpilled)},
		{"halving the trimmings", inGood(causeTrimmed)},
	}
}

// halved draws pours whose waste is known, as many as the term has, and takes half
// the share of each cause in their plaster.
func (b book) halved(o outlook) []change {
	var known []*entry // the latest
	for i := len(b.entries) - 1; i >= 0 && len(known) < recentPours; i-- {
		if e := &b.entries[i]; e.known() {
			known = append(known, e)
		}
	}
	slices.Reverse(known)
	var out []change
	for _, part := range halvedParts() {
		var kg float64
		past := make([]saving, len(known))
		for i, e := range known {
			kg += part.of(e)
			past[i] = saving{part.of(e) / 2, e.PlasterKg}
		}
		if kg <= leastPartKg {
			continue
		}
		out = append(out, change{
			words: part.words, basis: fmt.Sprintf("its share of the plaster of the %d latest pours whose waste is known", len(known)),
			savedKg: b.savedShares(o, part.words, past),
		})
	}
	return out
}

// asAdvised takes the share that the advice would have saved over the log, the
// second mix for every short pour taken off.
func (b book) asAdvised(o outlook, again []remix) (change, bool) {
	if len(again) < fewestEstimates {
		return change{}, false
	}
	again = again[max(0, len(again)-recentPours):]
	past := make([]saving, len(again))
	for i, r := range again {
		past[i] = saving{r.netKg(), r.mixed}
	}
	const words = "mixing as the over-mix table advises"
	return change{
		words: words, basis: fmt.Sprintf("%d pours of the log mixed again as advised from what was known before each; other pours taken to be like them", len(again)),
		savedKg: b.savedShares(o, words, past),
	}, true
}

// saving is what a change would have saved of a past pour's plaster, kg.
type saving struct{ saved, mixed float64 }

// savedShares draws, for each simulated term, as many of the past pours as it
// has, and applies their saved share to its plaster.
func (b book) savedShares(o outlook, subject string, past []saving) []float64 {
	rng := b.rngFor("what if: " + subject)
	from := urn{own: len(past), all: len(past)}
	slots := slices.Concat(past, past)
	out := make([]float64, len(o.total.kg))
	for k, kg := range o.total.kg {
		var saved, mixed float64
		drawn, times := from.draw(o.total.pours[k], rng)
		for _, slot := range drawn {
			saved += times * slots[slot].saved
			mixed += times * slots[slot].mixed
		}
		if mixed != 0 {
			out[k] = kg * (saved / mixed)
		}
	}
	return out
}

// savingsOf are the changes that save, in short.
func savingsOf(rows []tables.BudgetWhatIf) []Saving {
	var out []Saving
	for _, r := range rows {
		if r.SavedKg > 0 {
			out = append(out, Saving{Change: r.Change, PlasterKg: r.SavedKg, Cost: r.SavedCost})
		}
	}
	return out
}
