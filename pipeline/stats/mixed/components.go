package mixed

import "math"

// Kind tells the parameters of the covariance apart.
type Kind int

const (
	SD          Kind = iota // standard deviation of random effect I
	Correlation             // of random effects I > J
	Residual                // σ
)

// Component is one parameter of the covariance: its estimate, its standard
// error and, from Profile, its limits. See Components for what can be NaN.
type Component struct {
	Kind         Kind
	I, J         int
	Estimate     float64
	StdErr       float64
	Lower, Upper float64
}

// Components are the standard deviations, then the correlations (1,0), (2,0),
// (2,1), then σ, each with its standard error from the inverse of the Hessian
// of half the deviance in these parameters (β profiled out; the Hessian by
// central differences of the analytic gradient). Limits are NaN: standard
// deviations are far from normal in small data, so Wald limits would mislead;
// use Profile.
//
// At a singular fit the standard errors are NaN, except that of σ, which then
// is for G held where it is. A correlation with an effect without variance is
// NaN throughout.
func (m *Model) Components() []Component {
	out := m.estimates()
	last := len(out) - 1
	d := m.naturalDeviance()
	x := make([]float64, len(out))
	for i, c := range out {
		x[i] = c.Estimate
	}
	if m.Singular {
		// At fixed G only σ is free: the second derivative of the deviance.
		out[last].StdErr = m.residualError()
		return out
	}
	n := len(x)
	h := make([]float64, n*n)
	up, down := make([]float64, n), make([]float64, n)
	for i, c := range out {
		step := 1e-4 * c.Estimate
		if c.Kind == Correlation {
			step = 1e-4 * (1 - c.Estimate*c.Estimate)
		}
		at := x[i]
		x[i] = at + step
		okUp := d(x, up)
		x[i] = at - step
		okDown := d(x, down)
		x[i] = at
		if !okUp || !okDown {
			return out
		}
		for j := range n {
			v := (up[j] - down[j]) / (4 * step) // half the deviance
			h[i*n+j] += v / 2
			h[j*n+i] += v / 2
		}
	}
	for i, v := range inverseDiagonal(h, x) {
		out[i].StdErr = math.Sqrt(v)
	}
	return out
}

// inverseDiagonal is the diagonal of the inverse of h, NaN if h is not positive
// definite. The parameters may differ in size; x scales them.
func inverseDiagonal(h, x []float64) []float64 {
	n := len(x)
	out := make([]float64, n)
	scaled := append([]float64(nil), h...)
	for i := range n {
		out[i] = math.NaN()
		for j := range n {
			scaled[i*n+j] /= math.Sqrt(math.Abs(h[i*n+i]) * math.Abs(h[j*n+j]))
		}
	}
	if !cholesky(scaled, n, n) {
		return out
	}
	inv := invertUpper(scaled, n, n)
	for i := range n {
		out[i] = dot(inv[i*n:(i+1)*n], inv[i*n:(i+1)*n]) / math.Abs(h[i*n+i])
	}
	return out
}

func (m *Model) estimates() []Component {
	nan := math.NaN()
	var out []Component
	for i := range m.Q {
		out = append(out, Component{Kind: SD, I: i, J: i, Estimate: m.SD(i), StdErr: nan, Lower: nan, Upper: nan})
	}
	for j := range m.Q {
		for i := j + 1; i < m.Q; i++ {
			out = append(out, Component{Kind: Correlation, I: i, J: j, Estimate: m.Corr(i, j), StdErr: nan, Lower: nan, Upper: nan})
		}
	}
	return append(out, Component{Kind: Residual, Estimate: m.Sigma, StdErr: nan, Lower: nan, Upper: nan})
}

// naturalDeviance gives the gradient of the deviance by the parameters in the
// order of Components; false where they are no covariance.
func (m *Model) naturalDeviance() func(x, grad []float64) bool {
	q := m.Q
	st := m.k.newState()
	return func(x, grad []float64) bool {
		var corr square3
		for i := range q {
			corr[i*q+i] = 1
		}
		at := q
		for j := range q {
			for i := j + 1; i < q; i++ {
				corr[i*q+j], corr[j*q+i] = x[at], x[at]
				at++
			}
		}
		cov := make([]float64, q*q)
		for i := range q {
			for j := range q {
				cov[i*q+j] = x[i] * x[j] * corr[i*q+j]
			}
		}
		gamma := factor(cov, q)
		for i := range q {
			if !(gamma[i*q+i] > 0) {
				return false
			}
		}
		value, slope, bySigma := m.devianceAt(st, &gamma, x[len(x)-1])
		for i := range q {
			grad[i] = 0
			for j := range q {
				grad[i] += 2 * slope[i*q+j] * x[j] * corr[i*q+j]
			}
		}
		at = q
		for j := range q {
			for i := j + 1; i < q; i++ {
				grad[at] = 2 * slope[i*q+j] * x[i] * x[j]
				at++
			}
		}
		grad[len(x)-1] = bySigma
		return !math.IsInf(value, 0)
	}
}

// devianceAt is the deviance, with β profiled out, at G = gamma gamma' and
// sigma, both in the units of the data; its derivative by G; and that by sigma
// with G held.
func (m *Model) devianceAt(st *state, gamma *square3, sigma float64) (value float64, byG square3, bySigma float64) {
	q := m.Q
	lam := m.b.inward(gamma)
	for i := range lam {
		lam[i] /= sigma
	}
	inner := sigma / m.b.scale
	value = m.k.eval(st, &lam, inner*inner)
	// T⁻ᵀ M T⁻¹/σ²
	for i := range q {
		for j := range q {
			for h := i; h < q; h++ {
				for k := j; k < q; k++ {
					byG[i*q+j] += m.b.tInv[h*q+i] * st.m[h*q+k] * m.b.tInv[k*q+j]
				}
			}
			byG[i*q+j] /= sigma * sigma
		}
	}
	bySigma = 2 * (m.k.nu - st.rss/(inner*inner)) / sigma
	for i := range q {
		for h := range q {
			bySigma -= 2 * st.m[i*q+h] * dot(lam[i*q:(i+1)*q], lam[h*q:(h+1)*q]) / sigma
		}
	}
	return value + m.k.base, byG, bySigma
}

// residualError is the standard error of σ with G held.
func (m *Model) residualError() float64 {
	st := m.k.newState()
	gamma := m.gamma()
	step := 1e-4 * m.Sigma
	_, _, up := m.devianceAt(st, &gamma, m.Sigma+step)
	_, _, down := m.devianceAt(st, &gamma, m.Sigma-step)
	return math.Sqrt(4 * step / (up - down))
}

// gamma is σΛ: gamma gamma' = G.
func (m *Model) gamma() square3 {
	out := m.b.outward(&m.lam)
	for i := range out {
		out[i] *= m.Sigma
	}
	return out
}
