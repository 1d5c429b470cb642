package mixed

import "math"

// chart describes all covariances in which one parameter has a given value by
// coordinates that are free, each of size near 1. The random effects are taken
// in an order with those of the parameter first; gamma is lower triangular in
// that order.
//
//	SD of effect i:   gamma00 is the value, the rest of gamma and log σ free
//	correlation i, j: gamma00 = a², gamma10 = ρ b², gamma11 = √(1−ρ²) b²,
//	                  a, b, the third row and log σ free
//	σ:                gamma free
type chart struct {
	q      int
	kind   Kind
	order  []int     // order[0] is the effect (and order[1] the other) of the parameter
	scale  []float64 // size of each effect, in the order of the columns of Z
	sigma0 float64   // log σ is log sigma0 plus the last coordinate
}

func (m *Model) chart(c Component) chart {
	ch := chart{q: m.Q, kind: c.Kind, sigma0: m.Sigma, order: []int{c.I}}
	if c.Kind == Correlation {
		ch.order = append(ch.order, c.J)
	}
	for i := range m.Q {
		if len(ch.order) > 0 && i == ch.order[0] || len(ch.order) > 1 && i == ch.order[1] {
			continue
		}
		ch.order = append(ch.order, i)
	}
	for i := range m.Q {
		ch.scale = append(ch.scale, max(m.SD(i), 0.1*m.naturalSize(i)))
	}
	return ch
}

// naturalSize is the standard deviation of effect i at which the average group
// and the distribution of the effects tell equally much.
func (m *Model) naturalSize(i int) float64 {
	return m.Sigma * norm(m.b.t[i*m.Q:(i+1)*m.Q])
}

// free lists the entries (row, column in the chart's order) of gamma that are
// coordinates themselves.
func (c *chart) free() (at [][2]int) {
	for i := range c.q {
		for j := range i + 1 {
			switch {
			case c.kind == SD && i == 0:
			case c.kind == Correlation && i < 2:
			default:
				at = append(at, [2]int{i, j})
			}
		}
	}
	return at
}

// place gives gamma, rows in the order of the columns of Z, and σ.
func (c *chart) place(value float64, x []float64) (gamma square3, sigma float64) {
	q := c.q
	set := func(i, j int, v float64) { gamma[c.order[i]*q+j] = v }
	sigma = c.sigma0
	switch c.kind {
	case SD:
		set(0, 0, value)
	case Correlation:
		a, b := x[0]*x[0]*c.scale[c.order[0]], x[1]*x[1]*c.scale[c.order[1]]
		set(0, 0, a)
		set(1, 0, value*b)
		set(1, 1, math.Sqrt(max(0, 1-value*value))*b)
		x = x[2:]
	}
	for k, ij := range c.free() {
		set(ij[0], ij[1], x[k]*c.scale[c.order[ij[0]]])
	}
	if c.kind == Residual {
		return gamma, value
	}
	return gamma, sigma * math.Exp(x[len(x)-1])
}

// pull turns derivatives by gamma and σ into those by the coordinates.
func (c *chart) pull(value float64, x []float64, byGamma *square3, bySigma, sigma float64, grad []float64) {
	q := c.q
	get := func(i, j int) float64 { return byGamma[c.order[i]*q+j] }
	if c.kind == Correlation {
		grad[0] = 2 * x[0] * c.scale[c.order[0]] * get(0, 0)
		grad[1] = 2 * x[1] * c.scale[c.order[1]] *
			(value*get(1, 0) + math.Sqrt(max(0, 1-value*value))*get(1, 1))
		grad = grad[2:]
	}
	for k, ij := range c.free() {
		grad[k] = c.scale[c.order[ij[0]]] * get(ij[0], ij[1])
	}
	if c.kind != Residual {
		grad[len(grad)-1] = bySigma * sigma
	}
}

// start gives the coordinates of a covariance (q×q, in the order of the columns
// of Z) with sigma.
func (c *chart) start(cov []float64, sigma float64) []float64 {
	q := c.q
	turned := make([]float64, q*q)
	for i := range q {
		for j := range q {
			turned[i*q+j] = cov[c.order[i]*q+c.order[j]]
		}
	}
	gamma := factor(turned, q)
	var x []float64
	if c.kind == Correlation {
		for i := range 2 {
			x = append(x, math.Sqrt(math.Sqrt(turned[i*q+i])/c.scale[c.order[i]]))
		}
	}
	for _, ij := range c.free() {
		x = append(x, gamma[ij[0]*q+ij[1]]/c.scale[c.order[ij[0]]])
	}
	if c.kind != Residual {
		x = append(x, math.Log(sigma/c.sigma0))
	}
	return x
}

// nudge moves coordinates off the zeros where the criterion is even and its
// slope nothing, so that a search can leave them.
func (c *chart) nudge(x []float64) {
	const small = 0.05
	off := 0
	if c.kind == Correlation {
		off = 2
		x[0], x[1] = max(math.Abs(x[0]), small), max(math.Abs(x[1]), small)
	}
	for k, ij := range c.free() {
		if ij[0] == ij[1] {
			x[off+k] = max(math.Abs(x[off+k]), small)
		}
	}
}
