package mixed

import (
	"cmp"
	"fmt"
	"iter"
	"math"
	"slices"
)

// hunt is the search for the relative covariance, in the coordinates of the
// basis.
type hunt struct {
	k     *kernel
	st    *state
	evals int
}

// found is an optimum among covariances of at most the given rank.
type found struct {
	lam       square3 // lower trapezoidal: rank columns, then zeros
	rank      int
	value     float64
	decrement float64
}

// nearBoundary is the eigenvalue of the relative covariance below which
// a covariance of lower rank is tried: there a group of average size tells
// a thousandth as much about its effects as their distribution does.
const nearBoundary = 1e-3

func (h *hunt) run() (found, error) { return h.from(h.start()) }

// near starts from the variances of another model, in the coordinates of this
// one's basis.
func (h *hunt) near(b *basis, like *Model) (found, error) {
	if like == nil || like.Q != h.k.q {
		return h.run()
	}
	lam := like.b.outward(&like.lam)
	lam = b.inward(&lam)
	for i := range h.k.q {
		if at := &lam[i*h.k.q+i]; math.Abs(*at) < leastStart {
			*at = leastStart
		}
	}
	best, err := h.from(lam)
	if err != nil {
		return h.run()
	}
	return best, nil
}

// leastStart is the least size of an effect to begin with: at zero the criterion
// is flat, whatever the groups say.
const leastStart = 0.1

// from goes down from lam, and then to optima of lower rank.
func (h *hunt) from(lam square3) (found, error) {
	best := h.descend(lam, h.k.q, fine)
	for range 3 {
		lam, ok := h.escape(best)
		if !ok {
			break
		}
		if next := h.descend(lam, h.k.q, fine); next.value < best.value {
			best = next
		}
	}
	for best.rank > 0 {
		lam, smallest := h.lower(best)
		if smallest > nearBoundary {
			break
		}
		next := h.descend(lam, best.rank-1, fine)
		if !(next.value <= best.value+1e-9*(1+math.Abs(best.value))) || !h.optimal(next) {
			break
		}
		best = next
	}
	if math.IsInf(best.value, 0) || !(best.decrement < 1e-5) {
		return best, fmt.Errorf("%w after %d evaluations", ErrNoOptimum, h.evals)
	}
	return best, nil
}

// The likelihood of few groups can have several optima, so the search starts
// from several places there. With many groups one is enough, and time counts:
// a sample of the groups tells it nearly.
const (
	fewGroups    = 500
	fewStarts    = 5
	enoughGroups = 2000
	sampleGroups = 500
)

// start is a factor to begin with: for few groups the best of several optima,
// otherwise the best multiple of the identity or the optimum of a sample.
func (h *hunt) start() square3 {
	switch {
	case h.k.groups <= fewGroups:
		best := found{value: math.Inf(1)}
		for _, lam := range h.several() {
			if f := h.descend(lam, h.k.q, rough); f.value < best.value {
				best = f
			}
		}
		return best.lam
	case h.k.groups >= enoughGroups:
		k := h.k.sample(sampleGroups)
		small := &hunt{k: k, st: k.newState()}
		if f := small.descend(small.multiple(), k.q, rough); !math.IsInf(f.value, 0) {
			for i := range k.q {
				if at := &f.lam[i*k.q+i]; math.Abs(*at) < leastStart {
					*at = leastStart
				}
			}
			return f.lam
		}
	}
	return h.multiple()
}

// scored is a factor and the criterion there.
type scored struct {
	lam   square3
	value float64
}

// several are factors to begin with, the best first: the best of a coarse grid
// and those next best that are not like the ones before.
func (h *hunt) several() (out []square3) {
	q := h.k.q
	var all []scored
	for lam := range coarse(q) {
		h.evals++
		all = append(all, scored{lam, h.k.value(h.st, &lam, 0)})
	}
	slices.SortStableFunc(all, func(a, b scored) int { return cmp.Compare(a.value, b.value) })
	for _, s := range all {
		alike := func(other square3) bool { return distinct(&s.lam, &other, q) < 1 }
		if len(out) < fewStarts && !slices.ContainsFunc(out, alike) {
			out = append(out, s.lam)
		}
	}
	return out
}

// multiple is the best multiple of the identity, by factors of 4.
func (h *hunt) multiple() square3 {
	try := func(size float64) (lam square3, value float64) {
		for i := range h.k.q {
			lam[i*h.k.q+i] = size
		}
		h.evals++
		return lam, h.k.value(h.st, &lam, 0)
	}
	best, value := try(1)
	for _, factor := range []float64{4, 0.25} {
		for size := factor; size < 1e9 && size > 0.05; size *= factor {
			lam, next := try(size)
			if !(next < value) {
				break
			}
			best, value = lam, next
		}
	}
	return best
}

// coarse is a grid of factors: sizes of each effect by steps, and correlations
// −0.9, 0 and 0.9 between neighbours; finer the fewer effects there are.
func coarse(q int) iter.Seq[square3] {
	sizes := [][]float64{
		{0.1, 0.3, 1, 3, 10, 30, 100, 1000},
		{0.1, 0.4, 1.5, 6, 40},
		{0.15, 1.2, 10},
	}[q-1]
	return func(yield func(square3) bool) {
		for code := range int(math.Pow(float64(len(sizes)), float64(q))) {
			var lam square3
			for i, c := 0, code; i < q; i, c = i+1, c/len(sizes) {
				lam[i*q+i] = sizes[c%len(sizes)]
			}
			if !yield(lam) {
				return
			}
			for i := 1; i < q; i++ {
				for _, slope := range []float64{-2, 2} {
					bent := lam
					bent[i*q+i-1] = slope * lam[i*q+i]
					if !yield(bent) {
						return
					}
				}
			}
		}
	}
}

// distinct is how far two factors are apart: the largest difference of an
// effect's size, as a logarithm, or of twice a correlation.
func distinct(a, b *square3, q int) (far float64) {
	size := func(l *square3, i int) float64 { return norm(l[i*q : (i+1)*q]) }
	for i := range q {
		far = max(far, math.Abs(math.Log(size(a, i)/size(b, i))))
		for j := range i {
			ca := dot(a[i*q:(i+1)*q], a[j*q:(j+1)*q]) / (size(a, i) * size(a, j))
			cb := dot(b[i*q:(i+1)*q], b[j*q:(j+1)*q]) / (size(b, i) * size(b, j))
			far = max(far, 2*math.Abs(ca-cb))
		}
	}
	return far
}

// care is how exactly an optimum is found.
type care int

const (
	rough care = iota // the criterion to about 1e-9
	fine              // θ to rounding
)

// descend finds the optimum of the given rank near lam, whose last columns
// beyond the rank are zero.
func (h *hunt) descend(lam square3, rank int, how care) found {
	q := h.k.q
	var x []float64
	for c := range rank {
		for r := c; r < q; r++ {
			x = append(x, lam[r*q+c])
		}
	}
	place := func(x []float64) (lam square3) {
		at := 0
		for c := range rank {
			for r := c; r < q; r++ {
				lam[r*q+c] = x[at]
				at++
			}
		}
		return lam
	}
	search := &minimizer{settled: 1e-9, grain: h.k.grain(), f: func(x, grad []float64) float64 {
		lam := place(x)
		value := h.k.eval(h.st, &lam, 0)
		full := h.k.pull(h.st, &lam)
		at := 0
		for c := range rank {
			for r := c; r < q; r++ {
				grad[at] = full[r*q+c]
				at++
			}
		}
		return value
	}}
	value, decrement := search.run(x)
	if how == fine && len(x) > 0 && !math.IsInf(value, 0) {
		value, decrement = search.polish(x)
	}
	h.evals += search.evals
	return found{lam: place(x), rank: rank, value: value, decrement: decrement}
}
