package wall

import (
	"cmp"
	"slices"

	"moldwright/pipeline/history"
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
	slip, ok := b[history.Fold(name)]
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
		if _, seen := b[history.Fold(s.Slip)]; !seen {
			b[history.Fold(s.Slip)] = [slipTerms]float64{slipGravity: s.SpecificGravity, slipTemperature: s.TemperatureC}
		}
	}
	return b
}

// nearestSlips names the slip of casts that were logged without one: that of
// the cast of the same form nearest in time, which most likely came from the
// same bucket. It returns how many were named so.
func (in *inputs) nearestSlips() int {
	byForm := map[string][]int{}
	for i, r := range in.rows {
		byForm[r.form] = append(byForm[r.form], i)
	}
	hour := func(i int) float64 {
		c := in.log.Casts[in.rows[i].cast]
		h := 24 * float64(c.Date)
		if tables.Has(c.Minute()) {
			return h + c.Minute()/60
		}
		return h + 12
	}
	logged := slices.Clone(in.slipOf)
	named := 0
	for _, rows := range byForm {
		slices.SortStableFunc(rows, func(a, b int) int { return cmp.Compare(hour(a), hour(b)) })
		before, after := -1, -1
		for k, i := range rows {
			if logged[i] != "" {
				before = i
				continue
			}
			for after = k + 1; after < len(rows) && logged[rows[after]] == ""; after++ {
			}
			best := before
			if after < len(rows) && (before < 0 || hour(rows[after])-hour(i) < hour(i)-hour(before)) {
				best = rows[after]
			}
			if best >= 0 {
				in.slipOf[i] = logged[best]
				named++
			}
		}
	}
	return named
}

// centreSlips takes the mean off what is known of the slips, so that the
// unknown can stand at it.
func (in *inputs) centreSlips() {
	names := [slipTerms]string{slipGravity: "slip specific gravity", slipTemperature: "slip temperature (°C)"}
	for k := range slipTerms {
		var known []float64
		for _, name := range in.slipOf {
			if slip, ok := in.batches[history.Fold(name)]; ok && tables.Has(slip[k]) {
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
	in.setSlips()
}

func (in *inputs) setSlips() {
	for i, name := range in.slipOf {
		in.rows[i].slip = in.batches.of(name, in.slips)
	}
}

// centreAt takes the means of a whole log off, instead of those of the part
// learned from.
func (in *inputs) centreAt(slips []string, counts slipCounts) {
	casts := make([]int, len(slips))
	for _, ofForm := range counts {
		for place := range slips {
			casts[place] += ofForm[place]
		}
	}
	for k := range slipTerms {
		sum, n := 0.0, 0.0
		for place, name := range slips {
			if slip, ok := in.batches[history.Fold(name)]; ok && tables.Has(slip[k]) {
				sum, n = sum+slip[k]*float64(casts[place]), n+float64(casts[place])
			}
		}
		if n > 0 {
			in.slips[k].mean = sum / n
		}
	}
	in.setSlips()
}
