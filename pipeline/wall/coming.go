package wall

import (
	"math"

	"moldwright/pipeline/tables"
)

// unseen stands for a mold that is not in the log.
const unseen = -1

// NewDrawer prepares draws of the rested course of a mold that is not in the log;
// ok is false where its form was not fitted.
func (p *Posterior) NewDrawer(form, kind string) (d Drawer, ok bool) {
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
	return p.dwellAhead(p.at(m, orUnknown(mold.Form), mold.Kind, 1, float64(mold.Age+ahead)), wet, targetMM)
}

// DwellForNew is DwellFor for a mold that is not in the log, so many casts after
// its first.
func (p *Posterior) DwellForNew(form, kind string, ahead int, wet, targetMM float64) tables.DwellGuide {
	return p.dwellAhead(p.at(unseen, orUnknown(form), kind, 1, float64(ahead)), wet, targetMM)
}

func (p *Posterior) dwellAhead(r row, wet, targetMM float64) tables.DwellGuide {
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
	return wet + p.carried(fillings, hour)
}

// NewWetness is Wetness for a mold that is not in the log.
func (p *Posterior) NewWetness(fillings []float64, hour float64) float64 {
	if p.fit.tau == 0 {
		return tables.Absent()
	}
	return p.carried(fillings, hour)
}

// carried is what fillings at some hours leave in a mold at another.
func (p *Posterior) carried(fillings []float64, hour float64) float64 {
	wet := 0.0
	for _, f := range fillings {
		wet += math.Exp(-max(0, hour-f) / p.fit.tau)
	}
	return wet
}
