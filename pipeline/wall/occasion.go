package wall

import (
	"cmp"
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// Occasion is a coming cast of a mold of the log.
type Occasion struct {
	Mold     int // index in the log's molds
	DwellMin float64
	Date     tables.Date
	TimeMin  float64 // minutes after midnight; absent for the mold's usual wetness, which is also taken where casts lie ahead
	Slip     string  // batch of slip; "" for that of the last cast of the form
	Ahead    int     // casts that the mold makes before this one and after the log
}

// Forecast is a wall in mm with its prediction interval.
type Forecast struct {
	WallMM       float64
	Lower, Upper float64
}

// Forecast predicts the wall of a coming cast of the mold at a level such as 0.9;
// ok is false where the mold's form was not fitted or the dwell is not positive.
func (p *Posterior) Forecast(o Occasion, level float64) (f Forecast, ok bool) {
	m := p.in.log.Molds[o.Mold]
	r := p.at(o.Mold, orUnknown(m.Form), m.Kind, o.DwellMin, float64(m.Age+o.Ahead))
	if !p.knows(r.form) || !(o.DwellMin > 0) {
		return Forecast{}, false
	}
	r.slip = p.in.batches.of(cmp.Or(o.Slip, p.lastSlip(r.form)), p.in.slips)
	if p.fit.tau > 0 && tables.Has(o.TimeMin) && m.Last > m.First && o.Ahead == 0 {
		r.wet = p.wetAt(m, 24*float64(o.Date)+o.TimeMin/60)
	}
	mean, variance := p.logWall(r)
	half := p.quantile(0.5+level/2) * math.Sqrt(variance+p.Sigma()*p.Sigma())
	return Forecast{math.Exp(mean), math.Exp(mean - half), math.Exp(mean + half)}, true
}

// lastSlip is the batch of the form's last cast, "" where none was logged.
func (p *Posterior) lastSlip(form string) string { return p.lastSlips[form].slip }

// wetAt is what the mold carries over from all its casts at an hour.
func (p *Posterior) wetAt(m history.Mold, hour float64) float64 {
	var carried, last float64
	for i := m.First; i < m.Last; i++ {
		now := hours(p.in.log, i, m.First, last)
		if i > m.First {
			carried = (carried + 1) * math.Exp(-max(0, now-last)/p.fit.tau)
		}
		last = now
	}
	return (carried + 1) * math.Exp(-max(0, hour-last)/p.fit.tau)
}
