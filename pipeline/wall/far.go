package wall

import (
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/robust"
	"moldwright/pipeline/tables"
)

// far is a log too large to hold a row a cast. Its casts are walked mold by mold,
// and rows are made of them as they are needed; what all molds share was chosen
// on a part of the log before.
type far struct {
	in      inputs // of the whole log, without rows
	lists   func(row int, room []float64) []float64
	slipAt  [][slipTerms]float64 // what is known of a batch, by its place in the log
	nearest *slipDays            // names slips that were not logged; nil where none is to be named

	law        law
	design     design
	tau        float64
	scale      float64 // robust standard deviation of a cast, by the part
	alike      float64 // that of a fit in which molds do not differ
	resistance float64 // see resistanceScale

	last stand // about which the law is taken in the fit

	sorts  []sort
	sortOf []int32 // by mold; −1 where its form or kind was not among those learned from
}

// newFar prepares to walk the log by what was chosen on a part of it.
func newFar(log history.Log, studio tables.Studio, learned inputs, f fitted) *far {
	w := &far{
		in: learned, lists: listsOf(studio), law: f.best.law, design: f.best.design, tau: f.best.tau,
		scale: f.weights.scale, alike: f.weights.alike,
		resistance: resistanceScale(learned),
	}
	w.in.log, w.in.rows, w.in.slipOf, w.in.counts, w.in.odd, w.in.first = log, nil, nil, nil, nil, nil
	for _, name := range log.Slips {
		w.slipAt = append(w.slipAt, w.in.batches.of(name, w.in.slips))
	}
	if len(w.in.batches) > 0 {
		w.nearest = daysOfSlips(log)
	}
	w.sortMolds(learned.rows)
	return w
}

// sortMolds finds the sorts of the molds; those of a form or kind that was not
// learned have none.
func (w *far) sortMolds(learned []row) {
	forms, kinds := map[string]bool{}, map[string]bool{}
	for _, r := range learned {
		forms[r.form], kinds[r.kind] = true, true
	}
	w.sorts, w.sortOf = w.design.sorts(w.in.log)
	for m, mold := range w.in.log.Molds {
		if !forms[orUnknown(mold.Form)] || !kinds[mold.Kind] {
			w.sortOf[m] = -1
		}
	}
}

// rows fills in the usable casts of mold m but for their weights, and forgets
// what was there.
func (w *far) rows(m int, c *moldCasts) {
	c.rows, c.slipOf, c.counts, c.odd = c.rows[:0], c.slipOf[:0], c.counts[:0], c.odd[:0]
	log := w.in.log
	mold := log.Molds[m]
	form := orUnknown(mold.Form)
	var carried, last float64
	var readings []float64
	for i := mold.First; i < mold.Last; i++ {
		cast := &log.Casts[i]
		if w.tau > 0 {
			now := hours(log, i, mold.First, last)
			if i > mold.First {
				carried = (carried + 1) * math.Exp(-max(0, now-last)/w.tau)
			}
			last = now
		}
		if !(cast.DwellMin > 0 && cast.WallMM > 0) {
			continue
		}
		r := row{
			cast: i, mold: m, form: form, kind: mold.Kind, age: float64(cast.Age), wet: carried,
			logWall: math.Log(cast.WallMM), logT: math.Log(cast.DwellMin),
		}
		slip := cast.Slip.Place()
		if slip == 0 && w.nearest != nil {
			slip = w.nearest.of(form, cast.Date)
		}
		if slip < len(w.slipAt) {
			r.slip = w.slipAt[slip]
			c.slipOf = append(c.slipOf, log.Slips[slip])
		} else {
			c.slipOf = append(c.slipOf, "")
		}
		n := 1
		if w.in.readings.variance > 0 { // else the number of readings says nothing
			var shift float64
			var odd bool
			readings = w.lists(int(cast.Row), readings[:0])
			if shift, n, odd = w.in.readings.shift(readings); odd {
				c.odd = append(c.odd, int32(i))
			}
			r.logWall += shift
		}
		c.rows, c.counts = append(c.rows, r), append(c.counts, n)
	}
}

// weigh sets the weights that follow from residuals on the log scale.
func (w *far) weigh(c *moldCasts, residuals []float64) {
	w.in.readings.weigh(c, residuals, w.scale)
}

// weigh sets the weights that follow from residuals on the log scale, whose
// robust standard deviation is scale.
func (r readings) weigh(c *moldCasts, residuals []float64, scale float64) {
	c.reading, c.robust = c.reading[:0], c.robust[:0]
	weight := robust.Clipped(clip)
	for i, n := range c.counts {
		reading, trust := r.weight(n, scale*scale), 1.0
		if scale > 0 {
			trust = weight(math.Abs(residuals[i]) * math.Sqrt(reading) / scale)
		}
		c.reading, c.robust = append(c.reading, reading), append(c.robust, trust)
	}
}
