package wall

import (
	"math"
	"slices"
)

// Robust weighting: a cast keeps weight 1 up to clip residual standard
// deviations and (clip/|z|)⁴ beyond, so that a typing error by a factor of ten
// adds next to nothing to the fit or to its residual variance. At 3 a normal
// residual is clipped once in 370, which leaves the variance components nearly
// as they are.
const (
	clip          = 3.0
	robustRounds  = 12
	robustSettled = 1e-3
	normalMAD     = 1.4826022185056018 // standard deviation of a normal / its median absolute deviation
)

// weights of the rows: what their readings are worth against one reading, and
// what the robust fit leaves them.
type weights struct {
	reading []float64
	robust  []float64
}

func (w weights) of(i int) float64 { return w.reading[i] * w.robust[i] }

func (w weights) all() []float64 {
	out := make([]float64, len(w.robust))
	for i := range out {
		out[i] = w.of(i)
	}
	return out
}

// fullWeights are those before anything is known of residuals.
func fullWeights(in inputs) weights {
	w := weights{make([]float64, len(in.rows)), make([]float64, len(in.rows))}
	for i := range in.rows {
		w.reading[i], w.robust[i] = 1, 1
	}
	return w
}

// robustWeights fits and reweights in turn until the weights stand still
// (iteratively reweighted least squares; Huber 1981, ch. 7, from memory).
// It returns the design less the columns that could not be told apart.
func robustWeights(in inputs, d design) (design, weights, error) {
	w := fullWeights(in)
	for range robustRounds {
		f, err := fitOne(in, powerLaw{free: true}, d, w.all())
		if err != nil {
			return d, w, err
		}
		d = keep(d, f.design)
		residuals := f.residuals(in)
		for i := range residuals {
			residuals[i] *= math.Sqrt(w.reading[i]) // to the scale of one reading
		}
		change := w.update(in, residuals)
		if change < robustSettled {
			break
		}
	}
	return d, w, nil
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
	out.columns = got.columns
	return out
}

// update sets the weights from residuals on the scale of one reading and
// returns the largest change.
func (w weights) update(in inputs, residuals []float64) (change float64) {
	scale := normalMAD * medianAbs(residuals)
	for i, r := range residuals {
		next := 1.0
		if z := math.Abs(r) / scale; scale > 0 && z > clip {
			next = math.Pow(clip/z, 4)
		}
		reading := in.readings.weight(in.counts[i], scale*scale)
		change = max(change, math.Abs(next-w.robust[i]), math.Abs(reading-w.reading[i]))
		w.robust[i], w.reading[i] = next, reading
	}
	return change
}

func medianAbs(xs []float64) float64 {
	abs := make([]float64, len(xs))
	for i, x := range xs {
		abs[i] = math.Abs(x)
	}
	return median(abs)
}

// median of the values, NaN for none; it sorts its argument.
func median(xs []float64) float64 {
	if len(xs) == 0 {
		return math.NaN()
	}
	slices.Sort(xs)
	mid := len(xs) / 2
	if len(xs)%2 == 1 {
		return xs[mid]
	}
	return (xs[mid-1] + xs[mid]) / 2
}
