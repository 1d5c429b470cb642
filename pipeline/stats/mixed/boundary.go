package mixed

import "math"

// lower gives the nearest factor with one column less, and the smallest
// eigenvalue of the covariance among those not zero by rank.
func (h *hunt) lower(f found) (square3, float64) {
	q := h.k.q
	values, vectors, ok := eigen(covariance(&f.lam, q), q)
	if !ok {
		return f.lam, math.Inf(1)
	}
	var lam square3
	for c := range f.rank - 1 {
		size := math.Sqrt(max(values[q-1-c], 0))
		for r := range q {
			lam[r*q+c] = size * vectors[r*q+q-1-c]
		}
	}
	trapezoid(&lam, q, f.rank-1)
	return lam, values[q-f.rank]
}

// trapezoid turns columns among the first rank of lam until those entries
// above the diagonal are zero; lam lam' stays.
func trapezoid(lam *square3, q, rank int) {
	for r := range rank {
		for c := r + 1; c < rank; c++ {
			a, b := lam[r*q+r], lam[r*q+c]
			size := math.Hypot(a, b)
			if b == 0 || size == 0 {
				continue
			}
			cos, sin := a/size, b/size
			for i := range q {
				u, v := lam[i*q+r], lam[i*q+c]
				lam[i*q+r], lam[i*q+c] = cos*u+sin*v, cos*v-sin*u
			}
			lam[r*q+c] = 0
		}
	}
}

// covariance is lam lam', q×q.
func covariance(lam *square3, q int) []float64 {
	out := make([]float64, q*q)
	for i := range q {
		for j := range q {
			out[i*q+j] = dot(lam[i*q:(i+1)*q], lam[j*q:(j+1)*q])
		}
	}
	return out
}

// steepest is the lowest eigenvalue of M at f and its direction: how fast the
// criterion changes when variance is added that way.
func (h *hunt) steepest(f found) (float64, []float64) {
	h.evals++
	h.k.eval(h.st, &f.lam, 0)
	q := h.k.q
	values, vectors, ok := eigen(h.st.m[:q*q], q)
	if !ok {
		return math.Inf(-1), nil
	}
	v := make([]float64, q)
	for r := range q {
		v[r] = vectors[r*q]
	}
	return values[0], v
}

// slack is how negative M may be by rounding: it costs the criterion less
// than groups·slack².
const slack = 1e-7

// optimal reports whether adding variance in any direction makes f worse.
func (h *hunt) optimal(f found) bool {
	lowest, _ := h.steepest(f)
	return lowest >= -slack*float64(h.k.groups)
}

// escape leaves a saddle: where the search ended on a singular covariance and
// the criterion falls into the missing direction, it goes some way there.
func (h *hunt) escape(f found) (square3, bool) {
	lowest, v := h.steepest(f)
	if v == nil || lowest >= -slack*float64(h.k.groups) {
		return f.lam, false
	}
	q := h.k.q
	cov := covariance(&f.lam, q)
	for size := 1.0; size > 1e-9; size /= 8 {
		for i := range q {
			for j := range q {
				cov[i*q+j] += size * v[i] * v[j]
			}
		}
		lam := factor(cov, q)
		h.evals++
		if h.k.eval(h.st, &lam, 0) < f.value {
			return lam, true
		}
		for i := range q {
			for j := range q {
				cov[i*q+j] -= size * v[i] * v[j]
			}
		}
	}
	return f.lam, false
}

// factor is the lower Cholesky factor of a covariance that may be singular:
// a pivot that is nothing beside its diagonal entry gives a zero column.
func factor(cov []float64, q int) (lam square3) {
	for j := range q {
		for i := j; i < q; i++ {
			v := cov[i*q+j]
			for k := range j {
				v -= lam[i*q+k] * lam[j*q+k]
			}
			switch {
			case i == j && v > 1e-14*cov[j*q+j]:
				lam[j*q+j] = math.Sqrt(v)
			case i > j && lam[j*q+j] > 0:
				lam[i*q+j] = v / lam[j*q+j]
			}
		}
	}
	return lam
}
