package plaster

import (
	"math"
	"strings"

	"moldwright/pipeline/tables"
)

// Plaster for casting is not all hemihydrate, so a dry mold may be lighter than
// the chemistry says by about so much: common practice, no source.
const purityShare = 0.01

// States of a mold that was weighed before a cast.
const (
	stateNotWeighed = "not weighed"
	stateDry        = "dry"
	stateWet        = "wet"
	stateTooLight   = "lighter than it can be"
	statePartOnly   = "not all parts known"
)

// multiPart molds are poured part by part.
const multiPart = "multi-part"

// weighing is a mold's mass on a day; the absent mass where it was never weighed.
type weighing struct {
	kg float64
	on tables.Date
}

// lastWeighings are the last masses in the casts table up to a day, by folded mold name.
func lastWeighings(casts tables.Frame[tables.Cast], asOf tables.Date) map[string]weighing {
	last := map[string]weighing{}
	if casts.Len() == 0 {
		return last
	}
	masses, days, times := casts.NumberAt("mold_mass"), casts.DateAt("date"), casts.NumberAt("time")
	names, name := casts.NamesAt("mold")
	at := map[string]float64{}
	for i := range casts.Len() {
		kg := masses(i)
		if !(kg > 0) || kg > heaviestKg || asOf.Valid() && days(i) > asOf {
			continue
		}
		mold := fold(names[name(i)])
		before, seen := last[mold]
		if seen && (days(i) < before.on || days(i) == before.on && times(i) < at[mold]) {
			continue
		}
		last[mold], at[mold] = weighing{kg, days(i)}, times(i)
	}
	return last
}

// moldMasses tells what each mold of the pours should weigh when set and when
// dry. A mold of several pours weighs the sum of them; a pour that made several
// molds is left out, since nothing tells how they share it.
func (b book) moldMasses(last map[string]weighing) []tables.MoldMass {
	var out []tables.MoldMass
	place := make([]int32, len(b.links.molds)) // by mold, 1 more than its place in out
	var se []float64
	var numbers []int32 // of the molds
	for k := range b.entries {
		e := &b.entries[k]
		if !e.known() || !e.usable {
			continue
		}
		number, mold, ok := b.oneMold(e)
		if !ok {
			continue
		}
		i := int(place[number]) - 1
		if number == 0 || i < 0 {
			i = len(out)
			place[number] = int32(i) + 1
			out, se, numbers = append(out, tables.MoldMass{Mold: mold}), append(se, 0), append(numbers, number)
		}
		row := &out[i]
		row.Pours = strings.TrimPrefix(row.Pours+", "+e.Pour.Pour, ", ")
		row.SetKg += e.inMold * (1 + e.slurry.Consistency/100)
		dry := e.inMold * gypsumPerKg
		row.DryKg += dry
		reach := (e.high - e.low) / 2 / z80
		se[i] = math.Hypot(se[i], gypsumPerKg*math.Hypot(reach, math.Hypot(purityShare*e.inMold, b.set.WeighingShare*e.PlasterKg)))
	}
	for i := range out {
		if parts := strings.Count(out[i].Pours, ",") + 1; parts == 1 && b.links.molds[numbers[i]].kind == multiPart {
			out[i] = weighedMold(out[i], se[i], nil, b.set)
			out[i].State = statePartOnly
			continue
		}
		out[i] = weighedMold(out[i], se[i], last, b.set)
	}
	return out
}

// weighedMold fills in the interval and how far the mold was from dry when it
// was last weighed.
func weighedMold(row tables.MoldMass, se float64, last map[string]weighing, set Settings) tables.MoldMass {
	absent := tables.Absent()
	row.DryLower80, row.DryUpper80 = max(0, row.DryKg-z80*se), row.DryKg+z80*se
	row.WeighedOn, row.WeighedKg, row.WaterKg, row.WaterLow80, row.WaterHigh80, row.State = tables.NoDate, absent, absent, absent, absent, stateNotWeighed
	w, weighed := last[fold(row.Mold)]
	if row.Mold == "" || !weighed {
		return row
	}
	row.WeighedOn, row.WeighedKg = w.on, w.kg
	reach := z80 * math.Hypot(se, set.WeighingShare*w.kg)
	water := w.kg - row.DryKg
	row.WaterKg, row.WaterLow80, row.WaterHigh80 = max(0, water), max(0, water-reach), max(0, water+reach)
	switch {
	case water > reach:
		row.State = stateWet
	case water < -oddErrors/z80*reach:
		row.State = stateTooLight
	default:
		row.State = stateDry
	}
	return row
}

// oneMold is the one mold that a pour made or had a part in, its number and its name;
// 0 and "" where it is not named. ok is false where the pour made several.
func (b book) oneMold(e *entry) (number int32, name string, ok bool) {
	made := b.made(e)
	switch {
	case len(made) > 1:
		return 0, "", false
	case len(made) == 1:
		if f := &b.links.molds[made[0]]; f.listed && f.name != "" {
			return made[0], f.name, true
		}
	}
	return e.own, strings.TrimSpace(e.Mold), true
}
