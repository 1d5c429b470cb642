package plaster

import (
	"fmt"
	"math"

	"moldwright/pipeline/stats/quad"
	"moldwright/pipeline/tables"
)

const (
	// An 80 % interval reaches so many standard errors to either side.
	z80 = 1.2815515655446004
	// Masses that differ by more than so many standard errors are told.
	oddErrors = 3
)

// balance is the mass balance of one pour, kg of dry plaster:
//
//	mixed = in a usable mold + left over + spilled + trimmed
//	        + lost with a failed mold + unexplained
//
// and the waste is everything but the first. Where the waste can't be told,
// waste, its interval and inMold are absent.
type balance struct {
	inMold, waste, low, high float64
	restLow, restHigh        float64 // ends of the 80 % interval of what is unexplained
	parts                    parts
	weighed                  weighed
}

func (b balance) known() bool { return tables.Has(b.waste) }

// balanceOf closes the balance of a pour of which mixed kg of plaster were mixed.
//
// A failed pour is lost whole. Of a pour that made a usable mold, two things
// tell the loss before trimming: what was weighed (left over and spilled; a
// pour whose leftover was not weighed is not counted as weighed) together with
// the residue that nobody weighs, and what was mixed beyond the need. They are
// averaged by inverse variance. Trimmings were in the mold at first and come on
// top, by the studio's habit where they were not weighed. What all this gives
// beyond the weighed parts is unexplained. With neither, the waste is not
// known, which is not the same as none.
func balanceOf(mixed float64, usable bool, w weighed, needed mass, h habits, set Settings) balance {
	absent := tables.Absent()
	b := balance{inMold: absent, waste: absent, low: absent, high: absent, restLow: absent, restHigh: absent, weighed: w,
		parts: parts{leftover: orZero(w.leftover), spilled: orZero(w.spilled), trimmed: orZero(w.trimmed)}}
	if !usable {
		b.waste, b.inMold = mixed, 0
		b.parts.failed = max(0, mixed-w.sum())
		b.parts.unexplained = mixed - w.sum() - b.parts.failed
		b.low, b.high = mixed*(1-z80*set.WeighingShare), mixed*(1+z80*set.WeighingShare)
		b.restLow, b.restHigh = b.parts.unexplained, b.parts.unexplained
		return b
	}
	loss, known := lossOf(mixed, w, needed, h, set)
	if !known {
		return b
	}
	trim := mass{orZero(w.trimmed), set.WeighingShare * orZero(w.trimmed)}
	if !tables.Has(w.trimmed) {
		inMold := max(0, mixed-loss.kg)
		trim = mass{h.trimmed.mean * inMold, h.trimmed.spread * inMold}
	}
	within := func(kg float64) float64 { return min(max(kg, 0), mixed) }
	reach := z80 * math.Hypot(loss.se, trim.se)
	raw := loss.kg + trim.kg
	b.waste, b.low, b.high = within(raw), within(raw-reach), within(raw+reach)
	b.inMold = mixed - b.waste
	b.parts.unexplained = b.waste - w.sum()
	b.restLow, b.restHigh = b.parts.unexplained-reach, b.parts.unexplained+reach
	return b
}

// lossOf is the plaster of a good pour that never was in the mold, and whether
// anything tells it.
func lossOf(mixed float64, w weighed, needed mass, h habits, set Settings) (mass, bool) {
	rest := h.residue
	if !tables.Has(w.spilled) {
		rest = h.spilled
	}
	byWeight := mass{orZero(w.leftover) + orZero(w.spilled) + rest.mean*mixed,
		math.Hypot(rest.spread*mixed, set.WeighingShare*math.Hypot(orZero(w.leftover), orZero(w.spilled)))}
	byNeed := mass{mixed - needed.kg, h.scale * math.Hypot(set.WeighingShare*mixed, needed.se)}
	switch {
	case tables.Has(w.leftover) && needed.known():
		return reconciled(byWeight, byNeed), true
	case tables.Has(w.leftover):
		return byWeight, true
	case needed.known():
		return byNeed, true
	}
	return mass{}, false
}

// reconciled averages two estimates by inverse variance. Where they are further
// apart than oddErrors allows, one of them is off by more than its error says, and
// the error of the average grows in proportion (Birge 1932, Phys. Rev. 40; from memory).
func reconciled(a, b mass) mass {
	var m mass
	m.kg, _, m.se = quad.Combine(a.kg, a.se, b.kg, b.se)
	if apart := math.Abs(a.kg-b.kg) / math.Hypot(a.se, b.se); apart > oddErrors {
		m.se *= apart
	}
	return m
}

// oddBalance tells where a balance does not close: more accounted for than was
// mixed, or much that nothing explains.
func oddBalance(p tables.Pour, usable bool, w weighed, needed mass, set Settings, problems *problemList) {
	weighing := set.WeighingShare * math.Hypot(p.PlasterKg, w.sum())
	if over := w.sum() - p.PlasterKg; over > oddErrors*weighing {
		problems.add(p.Origin, "leftover", tables.Problem{Code: "more-than-mixed", Severity: tables.Notice, Value: fmt.Sprintf("%.2f kg", w.sum()),
			Message: fmt.Sprintf("pour %s: %.2f kg of plaster was mixed, but what was weighed holds %.2f kg", p.Pour, p.PlasterKg, w.sum()),
			Mend:    "check the masses and their units, and whether the leftovers were weighed with the bucket"})
		return
	}
	if !usable || !needed.known() {
		return
	}
	rest := p.PlasterKg - needed.kg - orZero(w.leftover) - orZero(w.spilled)
	se := math.Hypot(weighing, needed.se)
	switch {
	case rest < -oddErrors*se:
		problems.add(p.Origin, "plaster", tables.Problem{Code: "more-than-mixed", Severity: tables.Notice, Value: fmt.Sprintf("%.2f kg", p.PlasterKg),
			Message: fmt.Sprintf("pour %s: %.2f kg of plaster was mixed, but the mold should hold %.2f kg and %.2f kg was left over or spilled", p.Pour, p.PlasterKg, needed.kg, orZero(w.leftover)+orZero(w.spilled)),
			Mend:    "check the plaster mixed, the gaps and the inside of the containment wall; a model with corners misleads the gaps"})
	case tables.Has(w.leftover) && rest > oddErrors*math.Hypot(se, usualResidue*p.PlasterKg):
		problems.add(p.Origin, "leftover", tables.Problem{Code: "unexplained-plaster", Severity: tables.Notice, Value: fmt.Sprintf("%.2f kg", rest),
			Message: fmt.Sprintf("pour %s: %.2f kg of plaster was mixed, %.2f kg is needed for the mold and %.2f kg was left over or spilled; nothing explains the rest", p.Pour, p.PlasterKg, needed.kg, orZero(w.leftover)+orZero(w.spilled)),
			Mend:    "weigh what leaks or is poured away, and check the gaps"})
	}
}

// Consistencies that studios use: common practice, no source.
const (
	wettest, driest = 80, 60
	// A consistency above this whose inverse is common is questioned as
	// plaster and water exchanged, or plaster/water given for water/plaster.
	exchangedFrom = 115
)

// oddConsistency tells consistencies that common practice does not know.
func oddConsistency(p tables.Pour, c float64, problems *problemList) {
	inverse := 100 * 100 / c
	const rounding = 0.5
	switch {
	case c > exchangedFrom && inverse >= driest-5 && inverse <= wettest+5:
		problems.add(p.Origin, "water", tables.Problem{Code: "ratio-inverted", Severity: tables.Notice, Value: show(c),
			Message: fmt.Sprintf("pour %s has %.0f parts of water per 100 parts of plaster; were plaster and water exchanged? Then it would be %.0f", p.Pour, c, inverse),
			Mend:    "exchange plaster and water if so; the row is used as it stands"})
	case c < driest-rounding || c > wettest+rounding:
		problems.add(p.Origin, "water", tables.Problem{Code: "odd-consistency", Severity: tables.Notice, Value: show(c),
			Message: fmt.Sprintf("pour %s has %.0f parts of water per 100 parts of plaster; common practice is 60 to 80", p.Pour, c),
			Mend:    "check the plaster and the water mixed, and their units"})
	}
}
