package plaster

import (
	"fmt"
	"math"

	"moldwright/pipeline/tables"
)

// mass is an amount of dry plaster and its standard error, kg. The absent mass
// has an absent amount.
type mass struct {
	kg, se float64
}

func (m mass) known() bool { return tables.Has(m.kg) }

func noMass() mass { return mass{kg: tables.Absent(), se: tables.Absent()} }

const (
	// The yield of a plaster differs by about a hundredth between α and β
	// hemihydrate: common practice, no source.
	yieldShare = 0.01
	// Below this the lowest measured height is told to be far up the model.
	highFootShare = 0.25
)

// neededFor is the volume that the measured gaps, or the model's volume, call
// for, and the dry plaster that fills it; absent, with a problem, where they don't fit together. table is the
// pour's gap table, nil where it has none.
func neededFor(p tables.Pour, slurry Slurry, table *gapTable, set Settings, problems *problemList) (filling, mass) {
	if table == nil {
		if tables.Has(p.ModelVolumeL) {
			problems.add(p.Origin, "model_volume", tables.Problem{Code: "no-height", Severity: tables.ValueIgnored, Value: show(p.ModelVolumeL),
				Message: "a model volume alone does not tell the needed volume: the height of the model is missing",
				Mend:    "give the gaps table at least a row with the height of the model's top"})
		}
		return noFilling(), noMass()
	}
	if table.bad {
		return noFilling(), noMass() // told with the row
	}
	v, at, t := volumeOf(p, table.rows, set, problems)
	if t != nil {
		problems.add(at, t.column, tables.Problem{Code: t.code, Severity: tables.ValueIgnored, Value: t.value,
			Message: t.message + fmt.Sprintf("; no needed volume for pour %s", p.Pour), Mend: t.mend})
		return noFilling(), noMass()
	}
	kg := slurry.PlasterKg(v.Liters)
	// The consistency is off by both weighings, and moves the yield by the water's part of it.
	waterPart := slurry.Consistency / 100 / slurry.WaterDensity / slurry.LitersPerKg()
	weighing := waterPart * set.WeighingShare * math.Sqrt2
	return v, mass{kg: kg, se: kg * math.Hypot(v.SE/v.Liters, math.Hypot(yieldShare, weighing))}
}

func volumeOf(p tables.Pour, gaps []tables.Gap, set Settings, problems *problemList) (filling, tables.Origin, *trouble) {
	o, t, at := outlineOf(gaps)
	if t != nil {
		return filling{}, at, t
	}
	wall, t := containmentOf(p)
	if t != nil {
		return filling{}, p.Origin, t
	}
	if t, i := o.fits(wall, set.ReadingErrorMM); t != nil {
		return filling{}, rowAt(gaps, o.heights[i]), t
	}
	switch {
	case !tables.Has(p.PlasterOverModel):
		return filling{}, p.Origin, &trouble{"plaster_over_model", "no-cover", "", "the depth of plaster over the model is not given", "fill in plaster_over_model, 0 where the model reaches the top"}
	case p.PlasterOverModel < 0 || p.PlasterOverModel > longestMM:
		return filling{}, p.Origin, &trouble{"plaster_over_model", "cover-impossible", show(p.PlasterOverModel), "the depth of plaster over the model can't be this", "correct the depth and its unit"}
	}
	s := site{wall: wall, cover: p.PlasterOverModel, outline: o}
	model, t := modelVolumeOf(p, s)
	if t != nil {
		problems.add(p.Origin, t.column, tables.Problem{Code: t.code, Severity: tables.ValueIgnored, Value: t.value, Message: t.message, Mend: t.mend})
	}
	if len(o.heights) < fewestHeights && !tables.Has(model) {
		return filling{}, gaps[0].Origin, &trouble{"height", "too-few-heights", fmt.Sprint(len(o.heights)), "an outline needs at least three heights", "measure the gap at more heights, or give model_volume"}
	}
	v, t := s.volume(model, set.ReadingErrorMM)
	if t != nil {
		return filling{}, p.Origin, t
	}
	s.notices(p, model, gaps, set, problems)
	return v, p.Origin, nil
}

// modelVolumeOf is the model's volume measured directly in liters, absent where
// there is none or it can't be.
func modelVolumeOf(p tables.Pour, s site) (float64, *trouble) {
	v := p.ModelVolumeL
	room := s.wall.area() * s.top() * litersPerCubicMM
	switch {
	case !tables.Has(v):
		return tables.Absent(), nil
	case v <= 0 || v >= room:
		return tables.Absent(), &trouble{"model_volume", "model-volume-impossible", show(v),
			fmt.Sprintf("a model of %s L does not go into the %.2f L within the containment wall up to its top", show(v), room), "correct model_volume and its unit"}
	}
	return v, nil
}

// notices tells what is used as it stands but looks odd.
func (s site) notices(p tables.Pour, modelL float64, gaps []tables.Gap, set Settings, problems *problemList) {
	if t := s.disagreement(modelL, set.ReadingErrorMM); t != nil {
		problems.add(p.Origin, t.column, tables.Problem{Code: t.code, Severity: tables.Notice, Value: t.value, Message: t.message, Mend: t.mend})
	}
	if !tables.Has(modelL) && s.heights[0] > highFootShare*s.top() {
		problems.add(rowAt(gaps, s.heights[0]), "height", tables.Problem{Code: "foot-not-measured", Severity: tables.Notice, Value: show(s.heights[0]),
			Message: fmt.Sprintf("pour %s: the lowest gap was read at %s mm; the model is taken to go straight down from there to the base board", p.Pour, show(s.heights[0])),
			Mend:    "measure a gap at the base board too (height 0)"})
	}
}

func rowAt(gaps []tables.Gap, height float64) tables.Origin {
	for _, g := range gaps {
		if g.HeightMM == height {
			return g.Origin
		}
	}
	return tables.Origin{}
}
