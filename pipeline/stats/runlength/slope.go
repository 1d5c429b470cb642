package runlength

import "math"

// SlopeChart waits for a change of slope at an unknown place of a series (see
// [Observation]). For every place that the change may have come at, and for
// every size of it, it follows the likelihood ratio of change against none, and
// it sums them:
//
//	R(n) = Head·Λ(first) + sum over places k <= n of Λ(k, n)
//
// the statistic of Shiryaev (1963) and Roberts (Technometrics 8, 1966). While
// nothing has changed each Λ has mean 1, so R(n) − n is a martingale, and the
// mean number of observations until R reaches a limit A is at least A − Head
// (Pollak, Ann. Stat. 13, 1985), whatever the series: no simulation is needed.
// Λ(first) is that of a slope which differs from the beginning on, at place 0;
// it counts as Head observations.
//
// An error e of variance V tells about a change that would shift it by s
//
//	log Λ grows by (s·e − s²/2)/V
//
// with s worked out by sending the change through the filter which predicts the
// series: a filter that learns the slope takes up part of the change. Errors
// beyond Bound standard deviations count as Bound; that lowers the mean of Λ for
// errors of a symmetric law, so the bound on the run length stays.
type SlopeChart struct {
	Sizes []float64 // sizes of the change, each as likely as the others
	Head  float64
	Bound float64

	filter *Filter
	paths  []path
}

// path is the change that came at a place.
type path struct {
	from  float64
	first bool
	shift []float64 // what the filter has taken up of a change of size one
	a, b  float64   // log Λ of size f is f·a − f²·b/2
}

// mostPaths bounds the work; beyond it the least likely place is given up,
// which lowers R.
const mostPaths = 250

// NewSlopeChart starts before the first observation. G is the spread of b.
func NewSlopeChart(g [][]float64, sizes []float64, head, bound float64) *SlopeChart {
	c := &SlopeChart{Sizes: sizes, Head: head, Bound: bound, filter: NewFilter(g)}
	if head > 0 {
		c.paths = append(c.paths, path{first: true, shift: make([]float64, len(g))})
	}
	return c
}

// Step takes in an observation and returns its error, unbounded, in standard
// deviations sd of the prediction.
func (c *SlopeChart) Step(o Observation) (z, sd float64) {
	err, variance, gain := c.filter.Step(o)
	sd = math.Sqrt(variance)
	z = err / sd
	c.hear(o, gain, Clip(z, c.Bound)*sd, variance)
	c.trim()
	return z, sd
}

// take is as Step for an error that is given; it gives up no place.
func (c *SlopeChart) take(o Observation, err float64) (variance float64, gain []float64) {
	_, variance, gain = c.filter.Step(o)
	c.hear(o, gain, err, variance)
	return variance, gain
}

// hear tells every place of an error.
func (c *SlopeChart) hear(o Observation, gain []float64, err, variance float64) {
	c.paths = append(c.paths, path{from: o.At, shift: make([]float64, len(gain))})
	for i := range c.paths {
		p := &c.paths[i]
		s := o.Slope * (o.At - p.from)
		for j, g := range p.shift {
			s -= o.Z[j] * g
		}
		for j := range gain {
			p.shift[j] += gain[j] * s
		}
		p.a += s * err / variance
		p.b += s * s / variance
	}
}

func (c *SlopeChart) trim() {
	if len(c.paths) <= mostPaths {
		return
	}
	least := 0
	for i := range c.paths[:len(c.paths)-1] { // the newest place cannot have spoken yet
		if c.logRatio(c.paths[i]) < c.logRatio(c.paths[least]) {
			least = i
		}
	}
	c.paths = append(c.paths[:least], c.paths[least+1:]...)
}

// logRatio is the log of Λ, the mean over the sizes.
func (c *SlopeChart) logRatio(p path) float64 {
	logs := make([]float64, len(c.Sizes))
	for i, f := range c.Sizes {
		logs[i] = f*p.a - f*f*p.b/2
	}
	return logSum(logs) - math.Log(float64(len(c.Sizes)))
}

// LogR is the log of R.
func (c *SlopeChart) LogR() float64 {
	top := math.Inf(-1)
	for i := range c.paths {
		p := &c.paths[i]
		for _, f := range c.Sizes {
			top = math.Max(top, f*p.a-f*f*p.b/2)
		}
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for i := range c.paths {
		p := &c.paths[i]
		ratio := 0.0
		for _, f := range c.Sizes {
			if below := f*p.a - f*f*p.b/2 - top; below > nothing {
				ratio += math.Exp(below)
			}
		}
		if p.first {
			ratio *= c.Head
		}
		sum += ratio
	}
	return top + math.Log(sum/float64(len(c.Sizes)))
}

// nothing is the log of what adds nothing to a sum of 1 in floating point, even
// some hundred times.
const nothing = -45

// Onset is the likeliest place of the change; first tells that the slope more
// likely differed from the beginning on. It needs an observation.
func (c *SlopeChart) Onset() (at float64, first bool) {
	best := math.Inf(-1)
	for _, p := range c.paths {
		log := c.logRatio(p)
		if p.first {
			log += math.Log(c.Head)
		}
		if log > best {
			best, at, first = log, p.from, p.first
		}
	}
	return at, first
}

// Limit is the log of R at which the mean number of observations to a false
// alarm is at least inControl.
func (c *SlopeChart) Limit(inControl float64) float64 { return math.Log(inControl + c.Head) }

func logSum(logs []float64) float64 {
	top := math.Inf(-1)
	for _, l := range logs {
		top = math.Max(top, l)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - top)
	}
	return top + math.Log(sum)
}
