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
	spread  float64   // scale of the belief, 0 for none
	choose  float64   // Σ log of binomial coefficients
	count   int       // points of the posterior
	at      []float64 // place (β, s) for which modes were last looked for; nil before
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

// lever is the chance of an event at log odds x, and that of none or of one, whichever
// is larger: log(1 + e^x) = max(x, 0) − log of it.
func lever(x float64) (chance, larger float64) {
	e := math.Exp(-math.Abs(x))
	larger = 1 / (1 + e)
	if x >= 0 {
		return larger, larger
	}
	return e * larger, larger
}

func logistic(x float64) float64 {
	chance, _ := lever(x)
	return chance
}

// logs adds up weighted logarithms of numbers in [½, 1], of which there are many: those
// of small whole weights as one logarithm of a product.
type logs struct {
	product, sum float64
}

// mostTimes is the largest weight for which multiplying takes less than a logarithm.
const mostTimes = 16

func (l *logs) add(x, times float64) {
	if n := int(times); n <= mostTimes && float64(n) == times {
		for ; n > 0; n-- {
			l.product *= x
		}
		if l.product < 1e-250 {
			l.sum, l.product = l.sum+math.Log(l.product), 1
		}
		return
	}
	l.sum += times * math.Log(x)
}

func (l *logs) total() float64 { return l.sum + math.Log(l.product) }

// unitMode finds u by Newton's method, long steps halved until they lead up: the
// log density is concave, so it has one mode. eta holds x'β of every row.
func (p *problem) unitMode(i int, eta []float64, s, u float64) float64 {
	from, to := p.from[i], p.from[i+1]
	eta, events, trials := eta[from:to], p.events[from:to], p.trials[from:to]
	at := func(u float64) float64 {
		all, sum := logs{product: 1}, -u*u/2
		for r, x := range eta {
			z := x + s*u
			_, larger := lever(z)
			sum += events[r]*z - trials[r]*max(z, 0)
			all.add(larger, trials[r])
		}
		return sum + all.total()
	}
	for range 100 {
		rest, w := 0.0, 0.0
		for r, x := range eta {
			q := logistic(x + s*u)
			rest += events[r] - trials[r]*q
			w += trials[r] * q * (1 - q)
		}
		step := (s*rest - u) / (1 + s*s*w)
		if math.Abs(step)*max(1, math.Abs(s)) > 0.3 {
			for value := at(u); at(u+step) < value-1e-13*math.Abs(value); {
				step /= 2
			}
		}
		u += step
		if math.Abs(step) < 1e-5*(1+math.Abs(u)) { // the next would be of its square
			break
		}
	}
	return u
}

// bend fills the peak of a unit: its mode, the curve and the third derivative there.
func (p *problem) bend(i int, eta []float64, s float64, k *peak) {
	k.u = p.unitMode(i, eta, s, k.u)
	w, w3 := 0.0, 0.0
	for r := p.from[i]; r < p.from[i+1]; r++ {
		q := logistic(eta[r] + s*k.u)
		v := p.trials[r] * q * (1 - q)
		w += v
		w3 += v * (1 - 2*q)
	}
	k.curve, k.third = 1+s*s*w, w3
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
	h, all := -k.u*k.u/2, logs{product: 1}
	var w, rest, w3 float64
	var room [2 * fewColumns]float64
	sums := room[:]
	if c > fewColumns {
		sums = make([]float64, 2*c)
	}
	wx, w3x := sums[:c], sums[c:2*c]
	for r := p.from[i]; r < p.from[i+1]; r++ {
		z := eta[r] + s*k.u
		q, larger := lever(z)
		n, e := p.trials[r], p.events[r]
		h += e*z - n*max(z, 0)
		all.add(larger, n)
		v := n * q * (1 - q)
		t := v * (1 - 2*q)
		e -= n * q
		w, w3, rest = w+v, w3+t, rest+e
		for j, x := range p.x[r*c : (r+1)*c] {
			wx[j] += v * x
			w3x[j] += t * x
			if grad != nil {
				grad[j] += e * x
			}
		}
	}
	k.third = w3
	k.curve = 1 + s*s*w
	k.value = h + all.total() - math.Log(k.curve)/2
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

// fewColumns is up to how many covariates sums need no memory of their own.
const fewColumns = 4

// longestGuess bounds how far a mode is guessed from where it was, in standard
// deviations of units.
const longestGuess = 0.5

// guess moves the modes to where their slopes have them for a new place of β and s, so
// that the search for them begins near.
func (p *problem) guess(v []float64, peaks []peak) {
	if p.at == nil {
		p.at = make([]float64, p.columns+1)
		copy(p.at, v)
		return
	}
	for i := range peaks {
		k := &peaks[i]
		if k.slope == nil {
			continue
		}
		step := k.slopeS * (v[p.columns] - p.at[p.columns])
		for j, slope := range k.slope {
			step += slope * (v[j] - p.at[j])
		}
		k.u += min(max(step, -longestGuess), longestGuess)
	}
	copy(p.at, v)
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
	p.guess(v, peaks)
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
	p.guess(v, peaks)
	sum := p.choose
	for i := range peaks {
		p.around(i, eta, v[p.columns], &peaks[i], nil)
		sum += peaks[i].value
	}
	return sum
}
