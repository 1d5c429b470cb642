package plaster

import "moldwright/pipeline/tables"

// poundKg is the avoirdupois pound in kg, exact by definition.
const poundKg = 0.45359237

// mixes tells for each pour with a known volume what to weigh for it, at the
// consistency of the settings, or else at the pour's own where common practice
// knows it, or else at the studio's usual one. No allowance is in it: see Overmix.
func (b book) mixes() []tables.Mix {
	var out []tables.Mix
	usual := b.usualConsistency()
	for i := range b.entries {
		e := &b.entries[i]
		if !tables.Has(e.filling.Liters) {
			continue
		}
		s := e.slurry
		s.Consistency = b.chosenConsistency(e, usual)
		v := e.filling
		kg := s.PlasterKg(v.Liters)
		water := kg * s.Consistency / 100
		out = append(out, tables.Mix{
			Pour: e.Pour.Pour, NeededL: v.Liters, NeededLow80: max(0, v.Liters-z80*v.SE), NeededHigh80: v.Liters + z80*v.SE, Basis: v.Basis,
			Consistency: s.Consistency, PlasterKg: kg, WaterKg: water, PlasterLb: kg / poundKg, WaterLb: water / poundKg,
			SetKg: kg + water, DryKg: v.Liters * s.DryDensity(),
		})
	}
	return out
}

func (b book) chosenConsistency(e *entry, usual float64) float64 {
	if b.set.MixConsistency > 0 {
		return b.set.MixConsistency
	}
	if c := consistencyOf(e.Pour); c >= driest && c <= wettest {
		return c
	}
	return min(max(usual, driest), wettest)
}
