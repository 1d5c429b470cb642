package mixed

// New stands for a group that the model has not seen.
const New = -1

// Rows is the number of rows of group g behind the model.
func (m *Model) Rows(g int) int {
	if g < 0 || g >= len(m.rows) {
		return 0
	}
	return m.rows[g]
}

// place is the group's place in the kernel, −1 if it has no rows.
func (m *Model) place(g int) int {
	if g < 0 || g >= len(m.slot) {
		return -1
	}
	return m.slot[g]
}

// lift holds what a group's rows say about its effects, given the variances.
// With K = AΛ and I + K'K = LL',
//
//	e = L⁻¹Λ',  j = L⁻¹K'
//	D = e'e            covariance of b at known β, by σ²
//	F = D Z'WX = e'j Ux  how its mode moves with β
//
// all in the coordinates of the basis. Without rows D = ΛΛ' and F = 0.
type lift struct {
	e, j square3
	u    []float64 // q×w, nil without rows
}

func (m *Model) lift(g int) (out lift) {
	q := m.Q
	at := m.place(g)
	for i := range q {
		for j := range q {
			out.e[i*q+j] = m.lam[j*q+i]
		}
	}
	if at < 0 {
		return out
	}
	a := m.k.a[at*q*q : (at+1)*q*q]
	for i := range q {
		for j := range q {
			for h := range q {
				out.j[i*q+j] += m.lam[h*q+i] * a[j*q+h]
			}
		}
	}
	kt := out.j
	var l square3
	rootOfOnePlus(&l, &kt, q)
	solveLower(&l, q, out.e[:q*q], q)
	solveLower(&l, q, out.j[:q*q], q)
	out.u = m.effects(at)
	return out
}

// effects are the rows U of a group, q×w.
func (m *Model) effects(at int) []float64 {
	size := m.Q * m.k.w
	if m.k.lean == nil {
		return m.k.u[at*size : (at+1)*size]
	}
	out := make([]float64, size)
	m.k.lean.effects(m.k, at, out)
	return out
}

// mode writes b̃ at the fixed effects inner (β̃).
func (m *Model) mode(l *lift, inner []float64) (b [MaxRandom]float64) {
	if l.u == nil {
		return b
	}
	q, w, p := m.Q, m.k.w, m.P
	var e, v [MaxRandom]float64
	for i := range q {
		row := l.u[i*w : (i+1)*w]
		e[i] = row[p] - dot(row[:p], inner)
	}
	for i := range q {
		v[i] = dot(l.j[i*q:(i+1)*q], e[:q])
	}
	for i := range q {
		for h := range q {
			b[i] += l.e[h*q+i] * v[h]
		}
	}
	return b
}

// randomOutward takes b̃ to b.
func (m *Model) randomOutward(inner []float64) []float64 {
	out := make([]float64, m.Q)
	for i := range out {
		out[i] = m.b.scale * dot(m.b.t[i*m.Q:i*m.Q+i+1], inner)
	}
	return out
}

// Group is one group of a model, or New, for many questions about it.
type Group struct {
	m *Model
	l lift
	b [MaxRandom]float64 // mode, in the coordinates of the basis
}

// Group is group g of the model.
func (m *Model) Group(g int) *Group {
	group := m.group(g)
	return &group
}

func (m *Model) group(g int) Group {
	l := m.lift(g)
	return Group{m, l, m.mode(&l, m.beta)}
}

// Mode is the conditional mode of the group's random effects (their best
// linear unbiased prediction), length q; zeros for New or a group without rows.
func (g *Group) Mode() []float64 { return g.m.randomOutward(g.b[:]) }

// Mode is that of group g, see Group.
func (m *Model) Mode(g int) []float64 {
	group := m.group(g)
	return group.Mode()
}

// ModeCov is the q×q covariance of the group's random effects given its rows
// and β as if known: σ²Λ(I + Λ'Z'WZΛ)⁻¹Λ'. For New or a group without rows it
// is G. The uncertainty of β is in Joint and Predict.
func (m *Model) ModeCov(g int) [][]float64 {
	q := m.Q
	l := m.lift(g)
	te := m.effectRoot(&l)
	return m.outer(te[:q*q], q)
}

// effectRoot is T e', a root of the covariance of b at known β, by σ².
func (m *Model) effectRoot(l *lift) square3 {
	q := m.Q
	var et square3
	for i := range q {
		for j := range q {
			et[i*q+j] = l.e[j*q+i]
		}
	}
	return m.b.outward(&et)
}

// Predict is that of group g, see Group.
func (m *Model) Predict(g int, x, z []float64) (mean, variance float64) {
	group := m.group(g)
	return group.Predict(x, z)
}

// Predict gives the mean x'β + z'b_g of group g and the variance of its error,
// that of β and of b_g together (Henderson 1975, Biometrics 31); the scatter σ²
// of a single row is not in it:
//
//	σ² [ z'Dz + (x − F'z)' Sxx⁻¹ (x − F'z) ]
//
// For New or a group without rows b_g ~ N(0, G): the mean is x'β, and z'Gz is
// in the variance. The variances (θ, σ) count as known.
func (g *Group) Predict(x, z []float64) (mean, variance float64) {
	m, l := g.m, &g.l
	m.shape(x, z)
	p, q, w := m.P, m.Q, m.k.w
	var zt, ez, jez [MaxRandom]float64
	for i := range q { // T'z
		for j := i; j < q; j++ {
			zt[i] += m.b.t[j*q+i] * z[j]
		}
	}
	for i := range q {
		ez[i] = dot(l.e[i*q:(i+1)*q], zt[:q])
		variance += ez[i] * ez[i]
	}
	var small [16]float64
	v := small[:min(p, len(small))]
	if p > len(small) {
		v = make([]float64, p)
	}
	copy(v, x)
	solveUpperT(m.b.rx, p, v)
	if l.u != nil {
		for i := range q {
			for h := range q {
				jez[i] += l.j[h*q+i] * ez[h]
			}
			for j := range p {
				v[j] -= jez[i] * l.u[i*w+j]
			}
		}
	}
	solveUpperT(m.root, w, v)
	variance = (variance + dot(v, v)) * m.Sigma * m.Sigma
	return dot(x, m.Beta) + m.b.scale*dot(zt[:q], g.b[:q]), variance
}

func (m *Model) shape(x, z []float64) {
	if len(x) != m.P || len(z) != m.Q {
		panic("mixed: a row for prediction has the wrong number of columns")
	}
}

// Joint is the mean of (β, b_g), length p+q, and the (p+q)×(p+q) covariance of
// the errors of both, for draws of a group's line with all its uncertainty but
// that of the variances:
//
//	σ² [ Sxx⁻¹      −Sxx⁻¹F'        ]
//	   [ −F Sxx⁻¹   D + F Sxx⁻¹ F'  ]
//
// For New or a group without rows b_g has mean 0, covariance G, and none with β.
func (m *Model) Joint(g int) (mean []float64, cov [][]float64) {
	p, q, w := m.P, m.Q, m.k.w
	l := m.lift(g)
	mean = append(append(mean, m.Beta...), m.Mode(g)...)
	// Rows of a root of the covariance: p+q columns, the last q for D.
	n := p + q
	root := make([]float64, n*n)
	for i := range p {
		copy(root[i*n:i*n+p], m.rInv[i*p:(i+1)*p])
	}
	te := m.effectRoot(&l)
	for i := range q {
		row := root[(p+i)*n : (p+i+1)*n]
		copy(row[p:], te[i*q:(i+1)*q])
		if l.u == nil {
			continue
		}
		for h := range q { // −T e' j Ux, in the coordinates of X̃
			c := 0.0
			for k := range q {
				c += te[i*q+k] * l.j[k*q+h]
			}
			for j := range p {
				row[j] -= c * l.u[h*w+j]
			}
		}
		m.acrossRoot(row[:p])
	}
	return mean, m.outer(root, n)
}

// acrossRoot turns a row f in the coordinates of X̃ into f·root⁻¹, so that its
// products with rows of rInv are those of f Sxx⁻¹.
func (m *Model) acrossRoot(f []float64) {
	solveUpperT(m.root, m.k.w, f)
}
