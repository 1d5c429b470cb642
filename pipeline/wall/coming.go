package wall

import (
	"math"

	"moldwright/pipeline/tables"
)

// NewDrawer prepares draws of the rested course of a mold that is not in the log;
// ok is false where its form was not fitted.
func (p *Posterior) NewDrawer(form, kind string) (d Drawer, ok bool) {
	const unseen = -1
	r := p.at(unseen, orUnknown(form), kind, 1, 0)
	r.wet = 0
	if !p.knows(r.form) {
		return Drawer{}, false
	}
	mean, cov := p.fit.model.Joint(unseen)
	return Drawer{p: p, row: r, mean: mean, factor: root(cov)}, true
}

// DwellFor is the dwell that a coming cast of mold m needs for a wet wall in mm, so
// many casts after the log and with so much wetness carried over (see Wetness;
// absent: the mold's usual), with the 90 % interval of the dwell guide. Dwells
// are absent where the form was not fitted.
func (p *Posterior) DwellFor(m, ahead int, wet, targetMM float64) tables.DwellGuide {
	mold := p.in.log.Molds[m]
	r := p.at(m, orUnknown(mold.Form), mold.Kind, 1, float64(mold.Age+ahead))
	if tables.Has(wet) && p.fit.tau > 0 {
		r.wet = wet
	}
	if !p.knows(r.form) || !(targetMM > 0) {
		return noDwell(tables.Count(r.age), targetMM)
	}
	return dwellFor(p, r, targetMM)
}

// Wetness is what mold m carries over at an hour since 1970 from its casts in the
// log and from fillings after it, likewise in hours and ascending; absent where
// wetness is not in the model.
func (p *Posterior) Wetness(m int, fillings []float64, hour float64) float64 {
	if p.fit.tau == 0 {
		return tables.Absent()
	}
	mold := p.in.log.Molds[m]
	wet := 0.0
	if mold.Last > mold.First {
		wet = p.wetAt(mold, hour)
	}
	for _, f := range fillings {
		wet += math.Exp(-max(0, hour-f) / p.fit.tau)
	}
	return wet
}
