package logistic

import "math"

// problem is the rows sorted by unit, their covariates scaled to at most 1.
type problem struct {
	columns int
	scale   []float64 // of the covariates
	x       []float64 // rows × columns
	events  []float64
	trials  []float64
	from    []int // first row of each unit; one more at the end
	fixed   []Normal
	spread  float64 // scale of the belief, 0 for none
	choose  float64 // Σ log of binomial coefficients
	count   int     // points of the posterior
}

func newProblem(rows []Row, units int, opt Options) *problem {
	c := len(rows[0].X)
	p := &problem{columns: c, scale: make([]float64, c), fixed: make([]Normal, c), spread: opt.Spread.Scale, from: make([]int, units+1), count: opt.Points}
	if p.count <= 0 {
		p.count = defaultPoints
	}
	for i := range rows {
		p.from[rows[i].Unit+1]++
		for k, x := range rows[i].X {
			p.scale[k] = max(p.scale[k], math.Abs(x))
		}
	}
	for k := range p.scale {
		if p.scale[k] == 0 {
			p.scale[k] = 1
		}
		if opt.Fixed != nil {
			p.fixed[k] = Normal{Mean: opt.Fixed[k].Mean * p.scale[k], SD: opt.Fixed[k].SD * p.scale[k]}
		}
	}
	for i := range units {
		p.from[i+1] += p.from[i]
	}
	n := len(rows)
	p.x, p.events, p.trials = make([]float64, n*c), make([]float64, n), make([]float64, n)
	next := append([]int(nil), p.from...)
	for i := range rows {
		r := &rows[i]
		at := next[r.Unit]
		next[r.Unit]++
		for k, x := range r.X {
			p.x[at*c+k] = x / p.scale[k]
		}
		p.events[at], p.trials[at] = r.Events, r.trials()
		p.choose += logChoose(r.trials(), r.Events)
	}
	return p
}

func logChoose(n, k float64) float64 {
	if n == 1 {
		return 0
	}
	a, _ := math.Lgamma(n + 1)
	b, _ := math.Lgamma(k + 1)
	c, _ := math.Lgamma(n - k + 1)
	return a - b - c
}

// peak is the joint mode of one unit's standardised effect u = b/s, given β and
// s, with what is needed around it.
type peak struct {
	u      float64
	curve  float64   // H = 1 + s²W, W = Σ n p (1−p)
	slope  []float64 // du/dβ
	slopeS float64   // du/ds
	third  float64   // Σ n p (1−p) (1−2p)
	value  float64   // log of the Laplace integral
}

// softplus is log(1 + e^x).
func softplus(x float64) float64 {
	if x > 0 {
		return x + math.Log1p(math.Exp(-x))
	}
	return math.Log1p(math.Exp(x))
}

func logistic(x float64) float64 {
	if x >= 0 {
		return 1 / (1 + math.Exp(-x))
	}
	e := math.Exp(x)
	return e / (1 + e)
}

// unitMode finds u by Newton's method, long steps halved until they lead up: the
// log density is concave, so it has one mode. eta holds x'β of every row.
func (p *problem) unitMode(i int, eta []float64, s, u float64) float64 {
	from, to := p.from[i], p.from[i+1]
	at := func(u float64) float64 {
		sum := -u * u / 2
		for r := from; r < to; r++ {
			z := eta[r] + s*u
			sum += p.events[r]*z - p.trials[r]*softplus(z)
		}
		return sum
	}
	for range 100 {
		g, h := -u, 1.0
		for r := from; r < to; r++ {
			q := logistic(eta[r] + s*u)
			g += s * (p.events[r] - p.trials[r]*q)
			h += s * s * p.trials[r] * q * (1 - q)
		}
		step := g / h
		if math.Abs(step)*max(1, math.Abs(s)) > 0.3 {
			for value := at(u); at(u+step) < value-1e-13*math.Abs(value); {
				step /= 2
			}
		}
		u += step
		if math.Abs(step) < 1e-8*(1+math.Abs(u)) { // the next would be of its square
			break
		}
	}
	return u
}

// around fills the peak of a unit and, where grad is not nil, adds the gradient
// of its log integral
//
//	l_i = Σ [e z − n log(1+exp z)] − u²/2 − ½ log H,   z = x'β + s u
//
// with respect to β and s to it; terms by way of u enter through H only, since u
// is a mode.
func (p *problem) around(i int, eta []float64, s float64, k *peak, grad []float64) {
	c := p.columns
	k.u = p.unitMode(i, eta, s, k.u)
	h := -k.u * k.u / 2
	var w, rest, w3 float64
	wx, w3x := make([]float64, c), make([]float64, c)
	for r := p.from[i]; r < p.from[i+1]; r++ {
		z := eta[r] + s*k.u
		q := logistic(z)
		h += p.events[r]*z - p.trials[r]*softplus(z)
		v := p.trials[r] * q * (1 - q)
		t := v * (1 - 2*q)
		e := p.events[r] - p.trials[r]*q
		w, w3, rest = w+v, w3+t, rest+e
		x := p.x[r*c : (r+1)*c]
		for j := range x {
			wx[j] += v * x[j]
			w3x[j] += t * x[j]
			if grad != nil {
				grad[j] += e * x[j]
			}
		}
	}
	k.third = w3
	k.curve = 1 + s*s*w
	k.value = h - math.Log(k.curve)/2
	if k.slope == nil {
		k.slope = make([]float64, c)
	}
	for j := range c {
		k.slope[j] = -s * wx[j] / k.curve
	}
	k.slopeS = (rest - s*k.u*w) / k.curve
	if grad == nil {
		return
	}
	for j := range c {
		grad[j] -= s * s * (w3x[j] + s*k.slope[j]*w3) / (2 * k.curve)
	}
	grad[c] += rest*k.u - (2*s*w+s*s*w3*(k.u+s*k.slopeS))/(2*k.curve)
}

// eta is x'β of every row.
func (p *problem) eta(beta []float64) []float64 {
	c := p.columns
	out := make([]float64, len(p.events))
	for r := range out {
		for j, b := range beta[:c] {
			out[r] += p.x[r*c+j] * b
		}
	}
	return out
}

// target is minus the log of the Laplace likelihood times the beliefs at
// v = (β, s), with its gradient where grad is not nil. It is even in s. Peaks are
// kept from call to call, so that the next search for modes starts near.
func (p *problem) target(v, grad []float64, peaks []peak) float64 {
	c := p.columns
	eta := p.eta(v)
	sum := 0.0
	clear(grad)
	for i := range peaks {
		p.around(i, eta, v[c], &peaks[i], grad)
		sum += peaks[i].value
	}
	for j := range grad {
		grad[j] = -grad[j]
	}
	sum = -sum
	for j, b := range p.fixed {
		if b.SD == 0 {
			continue
		}
		z := (v[j] - b.Mean) / b.SD
		sum += z * z / 2
		if grad != nil {
			grad[j] += z / b.SD
		}
	}
	if p.spread > 0 {
		z := v[c] / p.spread
		sum += z * z / 2
		if grad != nil {
			grad[c] += z / p.spread
		}
	}
	return sum
}

// logLik is the Laplace log likelihood without the beliefs.
func (p *problem) logLik(v []float64, peaks []peak) float64 {
	eta := p.eta(v)
	sum := p.choose
	for i := range peaks {
		p.around(i, eta, v[p.columns], &peaks[i], nil)
		sum += peaks[i].value
	}
	return sum
}
