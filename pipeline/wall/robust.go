package wall

import (
	"math"
	"slices"

	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/stats/robust"
)

// clip is how many residual standard deviations off a cast keeps its weight of
// 1; beyond it counts (clip/|z|)⁴, so that a typing error by a factor of ten adds
// next to nothing to the fit or to its residual variance. At 3 a normal residual
// is clipped once in 370, which leaves the variance components nearly as they are.
const clip = 3.0

// weights of the rows: what their readings are worth against one reading, and
// what the robust fit leaves them.
type weights struct {
	reading []float64
	robust  []float64
	scale   float64 // robust standard deviation of the residuals that they follow from
	alike   float64 // that of the fit in which molds do not differ
}

func (w weights) all() []float64 {
	out := make([]float64, len(w.robust))
	for i := range out {
		out[i] = w.reading[i] * w.robust[i]
	}
	return out
}

// robustWeights fits and reweights in turn until the weights stand still. It
// returns the design less the columns that could not be told apart, and the last
// fit.
//
// A mold with a single cast takes a mistyped wall for its own nature, and makes
// molds look so different that it may. So the weights start from a fit in which
// molds do not differ, where such a wall stands out.
func robustWeights(in inputs, d design) (design, weights, fit, error) {
	alike := d
	alike.pooled, alike.slopes = false, false
	first, _, _, err := reweigh(in, alike, nil)
	if err != nil {
		return d, first, fit{}, err
	}
	w, d, near, err := reweigh(in, d, first.robust)
	w.alike = first.scale
	return d, w, near, err
}

// reweigh runs the reweighting of a design from starting weights, nil for 1.
func reweigh(in inputs, d design, first []float64) (weights, design, fit, error) {
	w := weights{reading: slices.Repeat([]float64{1}, len(in.rows))}
	var near start
	out, err := robust.Reweight(len(in.rows), robust.Settings{Weight: robust.Clipped(clip)}, func(now []float64) ([]float64, error) {
		if w.robust = now; first != nil {
			w.robust, first = first, nil
		}
		f, err := fitOne(in, powerLaw{free: true}, d, w.all(), near, mixed.REML)
		if err != nil {
			return nil, err
		}
		near.at = &f
		d = keep(d, f.design)
		residuals := f.residuals(in)
		for i := range residuals {
			residuals[i] *= math.Sqrt(w.reading[i]) // to the scale of one reading
		}
		scale := robust.MAD(residuals)
		for i, n := range in.counts {
			w.reading[i] = in.readings.weight(n, scale*scale)
		}
		return residuals, nil
	})
	if err != nil {
		return w, d, fit{}, err
	}
	w.robust, w.scale = out.Weights, out.Scale
	return w, d, *near.at, nil
}

// by are the weights that follow from the residuals of a fit.
func (w weights) by(in inputs, f fit) weights {
	residuals := f.residuals(in)
	for i := range residuals {
		residuals[i] *= math.Sqrt(w.reading[i])
	}
	scale, weight := robust.MAD(residuals), robust.Clipped(clip)
	out := weights{make([]float64, len(residuals)), make([]float64, len(residuals)), scale, w.alike}
	for i, r := range residuals {
		out.robust[i] = 1
		if scale > 0 {
			out.robust[i] = weight(math.Abs(r) / scale)
		}
		out.reading[i] = in.readings.weight(in.counts[i], scale*scale)
	}
	return out
}

// keep is d with only the columns that got left in the fitted design, and the
// notes of that design; the exponent is added per law and not part of d.
func keep(d, got design) design {
	out := got
	if j := got.index(exponentTerm); j >= 0 {
		out.columns = slices.Delete(slices.Clone(got.columns), j, j+1)
		return out
	}
	out.notes = d.notes // the exponent alone was dropped, and each law says so for itself
	return out
}

// median of the values, NaN for none; it puts them into another order.
func median(xs []float64) float64 { return robust.Middle(xs) }
