package wall

import (
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/chunks"
	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/stats/robust"
	"moldwright/pipeline/tables"
)

// stand are effects and variances about which the law is replaced by its tangent
// in a pass over all casts.
type stand struct {
	model *mixed.Model // nil where molds find their effects alone and nothing else is asked of it
	sigma float64
	g     [][]float64 // covariance of the molds' own effects
	beta  [][]float64 // fixed effects by sort, of its columns
	alone bool        // the model does not know the molds: each finds its effects from its own casts
}

func (w *far) standAt(model *mixed.Model, alone bool) stand {
	at := stand{model: model, sigma: model.Sigma, g: model.G(), alone: alone}
	for _, s := range w.sorts {
		at.beta = append(at.beta, s.picked(model.Beta, nil))
	}
	return at
}

// passed is what a pass over all casts finds.
type passed struct {
	blocks *mixed.Blocks
	used   int            // casts with weights
	named  int            // whose slip was taken from the nearest day
	apart  int            // usable casts of forms and kinds that were not learned
	odd    []oddCast      // far off the law, in order of the log
	uneven []int32        // casts of which a reading was left out, in order of the log
	slips  map[string]on  // by form its last slip
	ofForm map[string]int // casts with weights by form
}

// oddCast is a cast that counts for little.
type oddCast struct {
	cast   int32
	fitted float32 // wall expected, mm
	weight float32
}

// on is a slip on a day.
type on struct {
	day  tables.Date
	slip string
}

// passMolds is how many molds are walked together: fixed, so that sums do not
// depend on cores.
const passMolds = 128

// pass sums up the casts about a stand, of all molds or of those chosen. It writes
// each mold's usual wetness.
func (w *far) pass(at stand, chosen []bool, wet []float64) passed {
	molds := len(w.in.log.Molds)
	parts := make([]passed, chunks.Count(molds, passMolds))
	chunks.Each(molds, passMolds, func(chunk, from, to int) {
		walk := &walker{far: w, at: at, out: w.nothing()}
		for m := from; m < to; m++ {
			if chosen == nil || chosen[m] {
				walk.mold(m)
				wet[m] = walk.usualWet()
			} else {
				walk.leave()
			}
		}
		parts[chunk] = walk.out
	})
	all := w.nothing()
	for i, p := range parts {
		all.blocks.Join(p.blocks)
		all.used, all.named, all.apart = all.used+p.used, all.named+p.named, all.apart+p.apart
		all.odd, all.uneven = append(all.odd, p.odd...), append(all.uneven, p.uneven...)
		for form, last := range p.slips {
			if had, ok := all.slips[form]; !ok || last.day >= had.day {
				all.slips[form] = last
			}
		}
		for form, n := range p.ofForm {
			all.ofForm[form] += n
		}
		parts[i] = passed{}
	}
	return all
}

func (w *far) nothing() passed {
	return passed{blocks: w.blocks(), slips: map[string]on{}, ofForm: map[string]int{}}
}

func (w *far) blocks() *mixed.Blocks {
	return mixed.NewBlocks(len(w.design.columns), w.design.randoms(), patternsOf(w.sorts))
}

// walker walks over molds with its own scratch.
type walker struct {
	*far
	at        stand
	out       passed
	casts     moldCasts
	block     mixed.Block
	known     knownRows // the casts in the columns of their sort
	parts     []parts   // of each cast, what the fixed effects make of it
	x, z      []float64
	residuals []float64
	zs        []float64 // of each cast, what it tells of the mold's effects
	last      []float64
}

// mold appends a mold to the blocks.
func (k *walker) mold(m int) {
	sort := k.sortOf[m]
	k.rows(m, &k.casts)
	if sort < 0 {
		k.out.apart += len(k.casts.rows)
		k.leave()
		return
	}
	d := &k.sorts[sort].design
	q := d.randoms()
	k.lookUp(d, k.at.beta[sort])
	if len(k.x) < len(d.columns) {
		k.x = make([]float64, len(d.columns))
	}
	k.z = append(k.z[:0], make([]float64, q)...)
	var b []float64
	if k.at.alone {
		b = k.settle(d)
	} else {
		b = k.at.model.Mode(m)
	}
	k.tangent(m, sort, b)
	k.slips(m)
}

// lookUp works out what of the casts does not depend on the mold's effects.
func (k *walker) lookUp(d *design, beta []float64) {
	k.known.forget()
	k.parts = k.parts[:0]
	for i := range k.casts.rows {
		k.known.add(k.law, d, &k.casts.rows[i])
		k.parts = append(k.parts, k.law.fixed(d, k.known.columns(i), k.known.logT[i], beta))
	}
}

// leave appends a mold without casts.
func (k *walker) leave() {
	k.block.Begin(len(k.sorts[0].columns), k.design.randoms())
	k.out.blocks.Append(0, &k.block)
}

// tangent takes the casts of a mold in, the law replaced by its tangent at the
// effects b. Where the model knows the mold, weights follow from the residuals
// there.
func (k *walker) tangent(m int, sort int32, b []float64) {
	d, beta := &k.sorts[sort].design, k.at.beta[sort]
	n := len(d.columns)
	x := k.x[:n]
	k.block.Begin(n, d.randoms())
	weight := robust.Clipped(clip)
	for i := range k.casts.rows {
		r := &k.casts.rows[i]
		copy(x, k.known.columns(i))
		value, byLevel, byWear := k.law.whole(d, k.parts[i], k.known.dwell[i], r.age, b)
		d.derive(x, byLevel, byWear)
		d.deriveB(k.z, byLevel, byWear, r.age)
		var reading, trust float64
		if k.at.alone {
			reading, trust = k.casts.reading[i], k.casts.robust[i]
		} else {
			reading, trust = k.in.readings.weight(k.casts.counts[i], k.scale*k.scale), 1
			if k.scale > 0 {
				trust = weight(math.Abs(r.logWall-value) * math.Sqrt(reading) / k.scale)
			}
		}
		if trust < oddWeight {
			k.out.odd = append(k.out.odd, oddCast{int32(r.cast), float32(math.Exp(value)), float32(trust)})
		}
		k.block.Add(x, k.z, r.logWall-value+dot(x, beta)+dot(k.z, b), reading*trust)
	}
	k.out.used += len(k.casts.rows)
	k.out.blocks.Append(int(sort), &k.block)
}

// settle finds the mold's own effects from its casts, and their weights, in turn
// until the weights stand still. As with all casts at once (see robustWeights)
// the weights start from what casts are worth if molds do not differ.
func (k *walker) settle(d *design) []float64 {
	c := &k.casts
	b := make([]float64, d.randoms())
	k.look(d, b)
	if k.alike > 0 && len(b) > 0 {
		k.in.readings.weigh(c, k.residuals, k.alike)
	} else {
		k.weigh(c, k.residuals)
	}
	for range settleRounds {
		if len(b) == 0 {
			break
		}
		k.last = append(k.last[:0], c.robust...)
		b = k.effects(b)
		k.look(d, b)
		k.weigh(c, k.residuals)
		if change(k.last, c.robust) < settledWeight {
			break
		}
	}
	return b
}

// As robust.Reweight has it.
const (
	settleRounds  = 20
	settledWeight = 1e-3
)

func change(a, b []float64) (most float64) {
	for i := range a {
		most = max(most, math.Abs(a[i]-b[i]))
	}
	return most
}

// look fills in the residuals at the effects b, and what each cast tells of them.
func (k *walker) look(d *design, b []float64) {
	k.residuals, k.zs = k.residuals[:0], k.zs[:0]
	for i := range k.casts.rows {
		r := &k.casts.rows[i]
		value, byLevel, byWear := k.law.whole(d, k.parts[i], k.known.dwell[i], r.age, b)
		k.residuals = append(k.residuals, r.logWall-value)
		d.deriveB(k.z, byLevel, byWear, r.age)
		k.zs = append(k.zs, k.z...)
	}
}

// effects is one step from b to the mold's likeliest effects: (I + G·S)·b = G·t
// with S = Σ w·zz'/σ² and t = Σ w·z·(y + z'b)/σ², y being the residuals at b.
func (k *walker) effects(b []float64) []float64 {
	c, q := &k.casts, len(b)
	var s [2][2]float64
	var t [2]float64
	for i := range c.rows {
		z := k.zs[i*q : (i+1)*q]
		w := c.reading[i] * c.robust[i]
		y := k.residuals[i] + dot(z, b)
		for h := range q {
			t[h] += w * z[h] * y
			for j := range q {
				s[h][j] += w * z[h] * z[j]
			}
		}
	}
	inverse := 1 / (k.at.sigma * k.at.sigma)
	var a [2][2]float64
	var right [2]float64
	for h := range q {
		a[h][h] = 1
		for j := range q {
			right[h] += k.at.g[h][j] * t[j] * inverse
			for l := range q {
				a[h][j] += k.at.g[h][l] * s[l][j] * inverse
			}
		}
	}
	if q == 1 {
		return []float64{right[0] / a[0][0]}
	}
	det := a[0][0]*a[1][1] - a[0][1]*a[1][0]
	return []float64{(right[0]*a[1][1] - a[0][1]*right[1]) / det, (a[0][0]*right[1] - a[1][0]*right[0]) / det}
}

// usualWet is the median wetness of the mold's last usable casts, absent for none.
func (k *walker) usualWet() float64 {
	rows := k.casts.rows
	k.last = k.last[:0]
	for _, r := range rows[max(0, len(rows)-usualCasts):] {
		k.last = append(k.last, r.wet)
	}
	if len(k.last) == 0 {
		return tables.Absent()
	}
	return median(k.last)
}

// slips keeps the form's last slip and counts those that were named.
func (k *walker) slips(m int) {
	log := k.in.log
	form := orUnknown(log.Molds[m].Form)
	k.out.ofForm[form] += len(k.casts.rows)
	k.out.uneven = append(k.out.uneven, k.casts.odd...)
	had, ok := k.out.slips[form]
	for i := range k.casts.rows {
		c := &log.Casts[k.casts.rows[i].cast]
		if k.casts.slipOf[i] != "" && c.Slip == (history.SlipNumber{}) {
			k.out.named++
		}
		if k.casts.slipOf[i] != "" && (!ok || c.Date >= had.day) {
			had, ok = on{c.Date, k.casts.slipOf[i]}, true
		}
	}
	if ok {
		k.out.slips[form] = had
	}
}
