package mixed

import "math"

// Model is a fitted model. Its methods read it only, so several goroutines may
// use one.
type Model struct {
	Criterion  Criterion
	Beta       []float64 // fixed effects, generalised least squares at Theta
	Sigma      float64   // residual standard deviation of a row of weight 1
	Theta      []float64 // Λ column by column: λ11, λ21, …, λ22, …; diagonal ≥ 0
	Deviance   float64   // −2 log (restricted) likelihood, all constants included
	N, P, Q    int
	Groups     int  // with rows
	Rank       int  // of G; below Q if Singular
	Singular   bool // the optimum lies on the boundary: G has a zero variance or a perfect correlation
	ResidualDF float64
	Evals      int // evaluations of the criterion

	k     *kernel
	b     *basis
	lam   square3   // relative factor in the coordinates of the basis
	beta  []float64 // β̃
	s     []float64 // S at the optimum
	root  []float64 // its factor
	rInv  []float64 // p×p: inverse of the factor of X'V⁻¹X σ²
	slot  []int     // group to its place in the kernel, −1 without rows
	rows  []int     // of each group
	below []float64 // packed triangle Q of each slot, as in Sums; nil where the kernel is lean
}

func newModel(s *Sums, c Criterion, k *kernel, b *basis, h *hunt, best found) *Model {
	m := newModelOf(s.n, c, k, b, h, best)
	m.slot = make([]int, len(s.rows))
	m.rows = append([]int(nil), s.rows...)
	w := k.w
	m.below = make([]float64, 0, k.groups*packedLen(w))
	for g := range m.slot {
		m.slot[g] = -1
	}
	at := 0
	each(s, func(g int, tri []float64) {
		m.slot[g] = at
		m.below = append(m.below, tri[s.size-packedLen(w):]...)
		at++
	})
	return m
}

// newModelOf is the model but for what it knows of single groups.
func newModelOf(n int, c Criterion, k *kernel, b *basis, h *hunt, best found) *Model {
	value := k.eval(h.st, &best.lam, 0)
	m := &Model{
		Criterion: c, N: n, P: k.p, Q: k.q, Groups: k.groups,
		Deviance: value + k.base, Sigma: b.scale * math.Sqrt(h.st.rss/k.nu),
		Rank: best.rank, Singular: best.rank < k.q, Evals: h.evals,
		ResidualDF: max(1, float64(n-k.rankZ)-b.spare),
		k:          k, b: b, lam: best.lam, s: h.st.s, root: h.st.root,
	}
	m.setTheta()
	m.setFixed()
	return m
}

func (m *Model) setTheta() {
	q := m.Q
	out := m.b.outward(&m.lam)
	for c := range q {
		sign := 1.0
		if out[c*q+c] < 0 {
			sign = -1
		}
		for r := c; r < q; r++ {
			m.lam[r*q+c] *= sign
			m.Theta = append(m.Theta, sign*out[r*q+c])
		}
	}
}

func (m *Model) setFixed() {
	p, w := m.P, m.k.w
	m.beta = make([]float64, p)
	for i := range p {
		m.beta[i] = m.root[i*w+p]
	}
	solveUpper(m.root, w, m.beta)
	m.Beta = m.fixedOutward(m.beta)
	m.rInv = m.inverseOutward(m.root)
}

// inverseOutward takes a factor of Sxx, in the coordinates of X̃ (p×p in a
// square of order p+1), to the inverse of the factor for X.
func (m *Model) inverseOutward(root []float64) []float64 {
	p, w := m.P, m.k.w
	whole := make([]float64, p*p) // root Rx
	for i := range p {
		into := whole[i*p : (i+1)*p]
		for h := i; h < p; h++ {
			c := root[i*w+h]
			if c == 0 {
				continue
			}
			for j, x := range m.b.rx[h*p+h : (h+1)*p] {
				into[h+j] += c * x
			}
		}
	}
	return invertUpper(whole, p, p)
}

// fixedOutward takes β̃ to β.
func (m *Model) fixedOutward(inner []float64) []float64 {
	out := append([]float64(nil), inner...)
	solveUpper(m.b.rx, m.P, out)
	for i := range out {
		out[i] = m.b.ols[i] + m.b.scale*out[i]
	}
	return out
}

// BetaCov is the p×p covariance of the fixed effects, σ²(X'V⁻¹X)⁻¹ with
// V = W⁻¹ + ZΛΛ'Z'.
func (m *Model) BetaCov() [][]float64 {
	return m.outerUpper(m.rInv, m.P)
}

// outerUpper is outer of an upper triangle.
func (m *Model) outerUpper(a []float64, n int) [][]float64 {
	cov, all := make([][]float64, n), make([]float64, n*n)
	for i := range n {
		cov[i] = all[i*n : (i+1)*n]
		for j := range i + 1 {
			v := m.Sigma * m.Sigma * dot(a[i*n+i:(i+1)*n], a[j*n+i:(j+1)*n])
			cov[i][j], cov[j][i] = v, v
		}
	}
	return cov
}

// outer is σ² a a', a row-major n×n.
func (m *Model) outer(a []float64, n int) [][]float64 {
	cov := make([][]float64, n)
	for i := range n {
		cov[i] = make([]float64, n)
		for j := range n {
			cov[i][j] = m.Sigma * m.Sigma * dot(a[i*n:(i+1)*n], a[j*n:(j+1)*n])
		}
	}
	return cov
}

// BetaSE are the standard errors of the fixed effects.
func (m *Model) BetaSE() []float64 {
	se := make([]float64, m.P)
	for i := range se {
		se[i] = m.Sigma * norm(m.rInv[i*m.P:(i+1)*m.P])
	}
	return se
}

// G is the q×q covariance of the random effects, σ²ΛΛ'.
func (m *Model) G() [][]float64 {
	out := m.b.outward(&m.lam)
	return m.outer(out[:m.Q*m.Q], m.Q)
}

// SD is the standard deviation of random effect k.
func (m *Model) SD(k int) float64 {
	out := m.b.outward(&m.lam)
	return m.Sigma * norm(out[k*m.Q:(k+1)*m.Q])
}

// Corr is the correlation of two random effects, NaN if either has no
// variance.
func (m *Model) Corr(i, j int) float64 {
	out, q := m.b.outward(&m.lam), m.Q
	a, b := out[i*q:(i+1)*q], out[j*q:(j+1)*q]
	size := norm(a) * norm(b)
	if size == 0 {
		return math.NaN()
	}
	return min(1, max(-1, dot(a, b)/size))
}

// LogLik is the log (restricted) likelihood at the optimum.
func (m *Model) LogLik() float64 { return -m.Deviance / 2 }

// Parameters is the number of fixed effects, of variances and covariances, and
// one for σ: p + q(q+1)/2 + 1, also where some lie on the boundary.
func (m *Model) Parameters() int { return m.P + packedLen(m.Q) + 1 }

// AIC is Deviance + 2·Parameters (Akaike 1974). Models that differ in their
// fixed effects can be compared by it only if fitted by ML.
func (m *Model) AIC() float64 { return m.Deviance + 2*float64(m.Parameters()) }

// AICc is AIC corrected for the number of rows (Hurvich & Tsai 1989,
// Biometrika 76); +Inf if there are not two rows more than parameters.
func (m *Model) AICc() float64 {
	k := float64(m.Parameters())
	spare := float64(m.N) - k - 1
	if spare <= 0 {
		return math.Inf(1)
	}
	return m.AIC() + 2*k*(k+1)/spare
}
