package mixed

import (
	"errors"
	"fmt"
	"math"
)

// ErrBetterOptimum says that a profile went below the fitted deviance: the
// model is not the most likely one, and limits about it would be wrong.
var ErrBetterOptimum = errors.New("a more likely model than the fitted one was found")

// Profile is Components with profile likelihood limits at the given level, for
// example 0.95: the values at which the deviance, minimised over all other
// parameters, is the level's quantile of χ² with one degree of freedom above
// its minimum (Bates et al. 2015; lme4 does this for ML). It uses
// the model's own criterion, so that for a REML fit the restricted likelihood
// is profiled.
//
// Where the deviance never rises so far before the end of the range, the limit
// is that end: 0 for a standard deviation, −1 or 1 for a correlation, +Inf
// above. A correlation with an effect without variance has NaN limits. It takes
// some hundreds of evaluations of the criterion. ErrBetterOptimum can come up
// with few groups, see Fit.
func (m *Model) Profile(level float64) ([]Component, error) {
	if !(level > 0 && level < 1) {
		panic("mixed: a level must lie between 0 and 1")
	}
	out := m.Components()
	z := math.Sqrt2 * math.Erfinv(level)
	for i := range out {
		c := &out[i]
		if math.IsNaN(c.Estimate) {
			continue
		}
		// Where an effect may have no variance its correlation may be anything:
		// the profile is nowhere higher than there.
		if c.Kind == Correlation && (out[c.I].Lower == 0 || out[c.J].Lower == 0) {
			c.Lower, c.Upper = -1, 1
			continue
		}
		var err error
		if c.Lower, err = m.limit(*c, -1, z); err == nil {
			c.Upper, err = m.limit(*c, 1, z)
		}
		if err != nil {
			return nil, fmt.Errorf("limits of a variance component: %w", err)
		}
	}
	return out, nil
}

// tracer follows the profile of one component.
type tracer struct {
	m      *Model
	st     *state
	chart  chart
	x      []float64 // free coordinates at the last value within the limits
	bottom float64   // deviance at the estimate
	value  float64
	search minimizer
}

func (m *Model) tracer(c Component) *tracer {
	t := &tracer{m: m, st: m.k.newState(), chart: m.chart(c)}
	gamma := m.gamma()
	t.x = t.chart.start(covariance(&gamma, m.Q), m.Sigma)
	t.search = minimizer{settled: 1e-10, grain: m.k.grain(), f: t.deviance}
	t.value = c.Estimate
	t.bottom = t.deviance(t.x, make([]float64, len(t.x)))
	return t
}

func (t *tracer) deviance(x, grad []float64) float64 {
	gamma, sigma := t.chart.place(t.value, x)
	if !(sigma > 0) || math.IsInf(sigma, 0) {
		return math.Inf(1)
	}
	value, byG, bySigma := t.m.devianceAt(t.st, &gamma, sigma)
	q := t.m.Q
	var byGamma square3
	for i := range q {
		for j := range q {
			for h := range q {
				byGamma[i*q+j] += 2 * byG[i*q+h] * gamma[h*q+j]
			}
		}
	}
	t.chart.pull(t.value, x, &byGamma, bySigma, sigma, grad)
	return value
}

// rise is the root of how far the profile at a value is above its minimum, less
// z: negative within the limits. Searches start from the last value within, so
// that one which strayed to an effect without variance leads no other there.
func (t *tracer) rise(value, z float64) (float64, error) {
	t.value = value
	x := append([]float64(nil), t.x...)
	t.chart.nudge(x)
	t.search.inverse = nil
	d, decrement := t.search.run(x)
	if math.IsNaN(d) || !(decrement < 1e-4) {
		return 0, fmt.Errorf("%w at %g", ErrNoOptimum, value)
	}
	d -= t.bottom
	if d < -1e-6*(1+1e-4*math.Abs(t.bottom)) {
		return 0, ErrBetterOptimum
	}
	r := math.Sqrt(max(d, 0)) - z
	if r < 0 {
		t.x = x
	}
	return r, nil
}

// limit looks for the limit on one side (dir −1 or 1), z in units of a normal
// standard deviation.
func (m *Model) limit(c Component, dir, z float64) (float64, error) {
	t := m.tracer(c)
	end, step := m.reach(c, dir, z)
	inside, low := c.Estimate, -z
	if inside == end {
		return end, nil
	}
	for range 60 {
		outside := inside + dir*step
		switch {
		case c.Kind == Residual && dir < 0:
			outside = max(outside, inside/2) // σ = 0 has no likelihood
		case (outside-end)*dir >= 0:
			outside = end
		}
		r, err := t.rise(outside, z)
		if err != nil {
			return 0, err
		}
		if r >= 0 {
			return t.cross(inside, low, outside, r, z)
		}
		if outside == end {
			return end, nil
		}
		inside, low = outside, r
		step *= 2
	}
	return end, nil
}

// reach is the end of the parameter's range on one side, and a first step that
// goes about as far as the limit.
func (m *Model) reach(c Component, dir, z float64) (end, step float64) {
	end = math.Inf(1)
	if dir < 0 {
		end = 0
	}
	switch {
	case c.Kind == Correlation:
		end, step = dir, 0.5
	case c.Kind == SD:
		step = m.naturalSize(c.I)
	default:
		step = c.Estimate / 2
	}
	if c.StdErr > 0 && !math.IsInf(c.StdErr, 0) {
		step = min(1.05*z*c.StdErr, 4*step+4*c.Estimate*c.Estimate/step)
	}
	return end, step
}

// cross finds where the rise is 0 between a value inside and one outside, by
// the Illinois form of false position: the rise is nearly a straight line.
func (t *tracer) cross(a, fa, b, fb, z float64) (float64, error) {
	span, still := math.Abs(b-a), 1e-7+t.search.noise(t.bottom)
	for range 60 {
		if math.Abs(b-a) <= 1e-8*span || math.Abs(fb) < still {
			return b, nil
		}
		c := b - fb*(b-a)/(fb-fa)
		fc, err := t.rise(c, z)
		if err != nil {
			return 0, err
		}
		if fc*fb < 0 {
			a, fa = b, fb
		} else {
			fa /= 2
		}
		b, fb = c, fc
	}
	return b, nil
}
