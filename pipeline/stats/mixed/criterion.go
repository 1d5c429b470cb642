package mixed

import "math"

// state is one evaluation: scratch of the size of the groups, and results.
type state struct {
	wa   []float64 // L⁻¹A of each group, C = LL'
	b    []float64 // L⁻¹U of each group
	s    []float64 // w×w, S(θ): upper triangle
	root []float64 // w×w, its factor: root'root = S
	inv  []float64 // p×p, the inverse of the factor of Sxx
	m    square3   // derivative of the criterion by the relative covariance
	rss  float64
	t    []float64
}

func (k *kernel) newState() *state {
	groups := 1
	if k.lean != nil {
		groups = 0 // worked out anew where they are needed
	}
	return &state{
		wa:   make([]float64, groups*len(k.a)),
		b:    make([]float64, groups*len(k.u)),
		s:    make([]float64, k.w*k.w),
		root: make([]float64, k.w*k.w),
		inv:  make([]float64, k.p*k.p),
		t:    make([]float64, k.q*k.p),
	}
}

// eval computes the criterion, less its base, at the relative factor lam (any
// q×q matrix), and the derivative M by lam lam'. With variance 0 the residual
// variance is profiled out; otherwise it is the one given, in units of
// scale². It is +Inf where numbers fail.
func (k *kernel) eval(st *state, lam *square3, variance float64) float64 {
	value := k.value(st, lam, variance)
	if math.IsInf(value, 1) {
		return value
	}
	weight := 1 / variance
	if !(variance > 0) {
		weight = k.nu / st.rss
	}
	invertUpperInto(st.inv, st.root, k.p, k.w)
	switch {
	case k.lean != nil:
		k.deriveLean(st, lam, weight)
	case k.q == 2:
		k.derivePair(st, weight)
	default:
		k.derive(st, weight)
	}
	return value
}

// value is the criterion of eval, without its derivative.
func (k *kernel) value(st *state, lam *square3, variance float64) float64 {
	whiten := k.whiten
	switch {
	case k.lean != nil:
		whiten = k.whitenLean
	case k.q == 2:
		whiten = k.whitenPair
	}
	value := whiten(st, lam)
	copy(st.root, st.s)
	if !cholesky(st.root, k.w, k.w) {
		return math.Inf(1)
	}
	last := st.root[k.w*k.w-1]
	st.rss = last * last
	if variance > 0 {
		value += k.nu*math.Log(variance) + st.rss/variance
	} else {
		value += k.nu * (1 + math.Log(st.rss/k.nu))
	}
	if k.restricted {
		product := 1.0
		for i := range k.p {
			product *= st.root[i*k.w+i]
			if !(product > 1e-100 && product < 1e100) {
				value, product = value+2*math.Log(product), 1
			}
		}
		value += 2 * math.Log(product)
	}
	if math.IsNaN(value) {
		return math.Inf(1)
	}
	return value
}

// grain is what rounding may do to the criterion: the sum of squares is of the
// size of nu in it.
func (k *kernel) grain() float64 { return 1e-13 * k.nu }

// whiten factors C = LL' for each group, keeps L⁻¹A and L⁻¹U, sums S, and
// returns Σ log|C|.
func (k *kernel) whiten(st *state, lam *square3) float64 {
	q, w := k.q, k.w
	copy(st.s, k.fixed)
	copy(st.wa, k.a)
	copy(st.b, k.u)
	logDet, product := 0.0, 1.0
	var kk, l square3
	for g := range k.groups {
		a := k.a[g*q*q : (g+1)*q*q]
		for i := range q {
			for j := range q {
				v := 0.0
				for h := range q {
					v += a[i*q+h] * lam[h*q+j]
				}
				kk[i*q+j] = v
			}
		}
		product *= rootOfOnePlus(&l, &kk, q)
		if product > 1e100 {
			logDet, product = logDet+math.Log(product), 1
		}
		wa := st.wa[g*q*q : (g+1)*q*q]
		solveLower(&l, q, wa, q)
		b := st.b[g*q*w : (g+1)*q*w]
		solveLower(&l, q, b, w)
		for i := range q {
			addSquare(st.s, b[i*w:(i+1)*w])
		}
	}
	return 2 * (logDet + math.Log(product))
}

// rootOfOnePlus writes the lower triangle L with LL' = I + KK', and returns its
// determinant. K is used up. After a row k of length l = √(1+|k|²) is done, the
// others are multiplied by (I + k'k)^(-1/2) = I − k'k/(l(l+1)), so that nothing
// large is subtracted from something large and squared.
func rootOfOnePlus(l, kk *square3, q int) float64 {
	product := 1.0
	for i := range q {
		ki := kk[i*q : (i+1)*q]
		sum := 1.0
		for _, v := range ki {
			sum += v * v
		}
		d := math.Sqrt(sum)
		l[i*q+i] = d
		product *= d
		for j := i + 1; j < q; j++ {
			kj := kk[j*q : (j+1)*q]
			c := 0.0
			for h, v := range ki {
				c += v * kj[h]
			}
			l[j*q+i] = c / d
			c /= d * (d + 1)
			for h, v := range ki {
				kj[h] -= c * v
			}
		}
	}
	return product
}

// solveLower solves L x = v for the w columns of the q×w matrix v, in place.
func solveLower(l *square3, q int, v []float64, w int) {
	for i := range q {
		row := v[i*w : (i+1)*w]
		for j := range i {
			c := l[i*q+j]
			for h, x := range v[j*w : (j+1)*w] {
				row[h] -= c * x
			}
		}
		inv := 1 / l[i*q+i]
		for h := range row {
			row[h] *= inv
		}
	}
}

// derive sums M = Σ A'L⁻ᵀ (I − tt' − weight·ee') L⁻¹A, where the rows of
// t = L⁻¹Ux·Rxx⁻¹ count under REML only, and e = L⁻¹(uy − Ux β).
func (k *kernel) derive(st *state, weight float64) {
	q, w, p := k.q, k.w, k.p
	var sum, mid square3
	var e [MaxRandom]float64
	border := make([]float64, p)
	for j := range border {
		border[j] = st.root[j*w+p]
	}
	for g := range k.groups {
		for i := range q {
			row := st.b[(g*q+i)*w : (g*q+i+1)*w]
			t := st.t[i*p : (i+1)*p]
			timesUpper(t, row[:p], st.inv)
			e[i] = row[p] - dot(t, border)
		}
		for i := range q {
			for j := range i + 1 {
				v := -weight * e[i] * e[j]
				if k.restricted {
					v -= dot(st.t[i*p:(i+1)*p], st.t[j*p:(j+1)*p])
				}
				mid[i*q+j], mid[j*q+i] = v, v
			}
			mid[i*q+i]++
		}
		wa := st.wa[g*q*q : (g+1)*q*q]
		for h := range q { // row h of mid·wa
			for d := range q {
				v := 0.0
				for i := range q {
					v += mid[h*q+i] * wa[i*q+d]
				}
				for j := range d + 1 {
					sum[d*q+j] += wa[h*q+j] * v
				}
			}
		}
	}
	for i := range q {
		for j := range i + 1 {
			st.m[i*q+j], st.m[j*q+i] = sum[i*q+j], sum[i*q+j]
		}
	}
}

// timesUpper writes v r for an upper triangle r of order len(v).
func timesUpper(out, v, r []float64) {
	clear(out)
	p := len(v)
	for i, x := range v {
		if x == 0 {
			continue
		}
		row := r[i*p : (i+1)*p]
		for j := i; j < p; j++ {
			out[j] += x * row[j]
		}
	}
}

// pull turns M into the derivative by the entries of lam: 2 M lam.
func (k *kernel) pull(st *state, lam *square3) (out square3) {
	q := k.q
	for i := range q {
		for j := range q {
			for h := range q {
				out[i*q+j] += 2 * st.m[i*q+h] * lam[h*q+j]
			}
		}
	}
	return out
}
