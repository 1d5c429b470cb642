package plaster

import (
	"fmt"
	"math"
	"slices"

	"moldwright/pipeline/stats/quad"
	"moldwright/pipeline/tables"
)

// filling is what a pour must fill, and its standard error, in liters.
type filling struct {
	Liters float64
	SE     float64
	Basis  string // "gaps", "model volume", or "gaps and model volume"
}

func noFilling() filling { return filling{Liters: tables.Absent(), SE: tables.Absent()} }

// Bases of a needed volume.
const (
	fromGaps  = "gaps"
	fromModel = "model volume"
	fromBoth  = "gaps and model volume"
)

const (
	// Standard error of a model volume measured directly (displaced water), as a
	// part of it: common practice, no source.
	modelVolumeShare = 0.03
	// Fewer heights than these give no outline.
	fewestHeights = 3
)

// site is everything measured in and around a containment wall, lengths in mm.
type site struct {
	wall  containment
	cover float64 // plaster over the top of the model
	outline
}

// containedMM3 is the volume inside the wall up to the top of the plaster.
func (s site) containedMM3() float64 { return s.wall.area() * (s.top() + s.cover) }

// modelMM3 is the model's volume from the base board (height 0) to its highest
// measured height: the sections integrated over height. Below the lowest
// measured height the section is taken as it is there.
func (s site) modelMM3(integrate func(xs, ys []float64) (float64, error)) (float64, error) {
	return s.modelOf(s.sections(nil), integrate)
}

// modelOf is modelMM3 of these sections.
func (s site) modelOf(sections []float64, integrate func(xs, ys []float64) (float64, error)) (float64, error) {
	body, err := integrate(s.heights, sections)
	return body + s.heights[0]*sections[0], err
}

// sections appends the model's sections at the heights, mm².
func (s site) sections(out []float64) []float64 {
	for _, g := range s.gaps {
		out = append(out, s.wall.section(g))
	}
	return out
}

// footSE is how far off the volume below the lowest measured height may be: the
// difference between carrying on upright, as modelMM3 does, and carrying on at
// the slope of the lowest two heights.
func (s site) footSE() float64 {
	a, h := s.sections(nil), s.heights
	slope := (a[1] - a[0]) / (h[1] - h[0])
	return math.Abs(slope) * h[0] * h[0] / 2
}

// readings lists everything that was read and can be off: length and width of
// the wall (one diameter where it is round), cover, heights and gaps.
// A height of 0 is the base board itself and exact.
func (s site) readings(errorMM float64) (values, se []float64) {
	values = append(values, s.wall.length, s.cover)
	if !s.wall.round {
		values = append(values, s.wall.width)
	}
	values = append(values, s.heights...)
	se = slices.Repeat([]float64{errorMM}, len(values))
	if first := len(values) - len(s.heights); s.heights[0] == 0 {
		se[first] = 0
	}
	for _, g := range s.gaps {
		values = append(values, g...)
		se = append(se, slices.Repeat([]float64{errorMM}, len(g))...)
	}
	return values, se
}

// set makes the site, which must not share its gaps, one with other readings, in the
// order of readings.
func (s *site) set(values []float64) {
	take := func(n int) []float64 {
		part := values[:n]
		values = values[n:]
		return part
	}
	s.wall.length = take(1)[0]
	s.wall.width = s.wall.length
	s.cover = take(1)[0]
	if !s.wall.round {
		s.wall.width = take(1)[0]
	}
	s.heights = take(len(s.heights))
	for i, g := range s.gaps {
		s.gaps[i] = take(len(g))
	}
}

// volume is the needed volume: contained less the model's. modelL is the
// model's volume measured directly, or absent; where both are known the two
// are averaged by inverse variance. Errors of the readings are independent, each
// with standard error errorMM, and are carried through to first order.
func (s site) volume(modelL, errorMM float64) (filling, *trouble) {
	contained := s.containedMM3()
	weight, model := 0.0, modelL/litersPerCubicMM
	modelSE := modelVolumeShare * model
	basis := fromModel
	var foot float64
	if len(s.heights) >= fewestHeights {
		byGaps, err := s.modelMM3(quad.Integrate)
		if err != nil {
			return filling{}, &trouble{"height", "gaps-impossible", "", fmt.Sprintf("the gaps can't be integrated: %v", err), "check the gap table of this pour"}
		}
		foot = s.footSE()
		if !tables.Has(modelL) {
			weight, model, modelSE, basis = 1, byGaps, 0, fromGaps
		} else {
			gapSE := math.Hypot(s.carried(errorMM, 0, 1), foot)
			model, weight, _ = quad.Combine(byGaps, gapSE, model, modelSE)
			basis = fromBoth
		}
	}
	needed := contained - model
	if !(needed > 0) || model < 0 {
		return filling{}, &trouble{"model_volume", "no-room", show(model * litersPerCubicMM), "the model leaves no room for plaster within the containment wall", "check the inside of the containment wall, the heights and model_volume"}
	}
	se := math.Hypot(s.carried(errorMM, 1, -weight), math.Hypot(weight*foot, (1-weight)*modelSE))
	return filling{Liters: needed * litersPerCubicMM, SE: se * litersPerCubicMM, Basis: basis}, nil
}

// carried is the standard error, from the readings, of a·contained + b·model in
// mm³. The monotone cubic serves for it even where the volume itself is by
// Simpson's rule, which moved heights would no longer allow.
func (s site) carried(errorMM, a, b float64) float64 {
	values, se := s.readings(errorMM)
	moved := s
	moved.gaps = slices.Clone(s.gaps)
	sections := make([]float64, 0, len(s.gaps))
	return quad.Propagate(func(v []float64) float64 {
		moved.set(v)
		total := a * moved.containedMM3()
		if b != 0 {
			model, err := moved.modelOf(moved.sections(sections[:0]), quad.Monotone)
			if err != nil {
				return math.NaN() // heights are further apart than the steps of Propagate
			}
			total += b * model
		}
		return total
	}, values, se)
}

// disagreement tells where gaps and a model volume measured directly differ by
// more than their errors allow.
func (s site) disagreement(modelL, errorMM float64) *trouble {
	if !tables.Has(modelL) || len(s.heights) < fewestHeights {
		return nil
	}
	byGaps, err := s.modelMM3(quad.Integrate)
	if err != nil {
		return nil // volume has told it
	}
	byGaps *= litersPerCubicMM
	se := litersPerCubicMM * math.Hypot(s.carried(errorMM, 0, 1), s.footSE())
	if math.Abs(byGaps-modelL) <= toleratedErrors*math.Hypot(se, modelVolumeShare*modelL) {
		return nil
	}
	return &trouble{"model_volume", "model-volume-differs", fmt.Sprintf("%.2f L", modelL),
		fmt.Sprintf("the gaps say that the model has %.2f L, model_volume says %.2f L; the two are averaged by what each is likely to be off", byGaps, modelL),
		"measure again what is wrong: an outline with corners, or a model that does not stand in the middle, misleads the gaps"}
}
