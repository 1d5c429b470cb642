package wall

import (
	"slices"

	"moldwright/pipeline/tables"
)

// What is known of a slip that changes how fast it casts: denser slip has less
// water to lose for a millimetre of wall, and warmer water is thinner.
const (
	slipGravity = iota
	slipTemperature
	slipTerms
)

// slipTerm is one of them in a log.
type slipTerm struct {
	name     string
	known    float64 // share of the usable casts whose slip has it
	distinct int     // different values
	mean     float64
}

// batches are what is known of the slips, by folded name.
type batches map[string][slipTerms]float64

// of is what is known of a batch, less the log's means; 0 where unknown.
func (b batches) of(name string, terms [slipTerms]slipTerm) [slipTerms]float64 {
	slip, ok := b[fold(name)]
	if !ok {
		return [slipTerms]float64{}
	}
	for k := range slip {
		if slip[k] -= terms[k].mean; !tables.Has(slip[k]) {
			slip[k] = 0
		}
	}
	return slip
}

// slipBatches are the batches of the slips table by name, the first of a name.
func slipBatches(studio tables.Studio) batches {
	b := batches{}
	for _, s := range studio.Slips.Rows() {
		if _, seen := b[fold(s.Slip)]; !seen {
			b[fold(s.Slip)] = [slipTerms]float64{slipGravity: s.SpecificGravity, slipTemperature: s.TemperatureC}
		}
	}
	return b
}

// centreSlips takes the mean off what is known of the slips, so that the
// unknown can stand at it.
func (in *inputs) centreSlips() {
	names := [slipTerms]string{slipGravity: "slip specific gravity", slipTemperature: "slip temperature (°C)"}
	for k := range slipTerms {
		var known []float64
		for _, name := range in.slipOf {
			if slip, ok := in.batches[fold(name)]; ok && tables.Has(slip[k]) {
				known = append(known, slip[k])
			}
		}
		t := slipTerm{name: names[k]}
		for _, v := range known {
			t.mean += v / float64(len(known))
		}
		if len(known) > 0 {
			t.known = float64(len(known)) / float64(len(in.rows))
			slices.Sort(known)
			t.distinct = len(slices.Compact(known))
		}
		in.slips[k] = t
	}
	for i, name := range in.slipOf {
		in.rows[i].slip = in.batches.of(name, in.slips)
	}
}
