package lifetime

import "math"

// posterior is the log likelihood of the units plus the log density of the
// prior, as a function of a = log shape and b = log scale. A unit seen from
// age e to age x, with H(t) = exp(shape (log t - b)), adds
//
//	ended (log shape + shape (log x - b) - log x) - (H(x) - H(e))
//
// (Lawless, Statistical Models and Methods for Lifetime Data, 2nd ed., 2003).
type posterior struct {
	records  []record
	ended    float64
	logEnded float64 // sum of log age over ended units
	longest  float64 // largest log exit
	shape    normal
	scale    normal
}

func newPosterior(units []Unit, prior Prior) posterior {
	p := posterior{records: gather(units), shape: prior.Shape.onLog(), scale: prior.Scale.onLog()}
	for _, r := range p.records {
		p.ended += r.ended
		p.logEnded += r.ended * r.logExit
	}
	if last := len(p.records) - 1; last >= 0 {
		p.longest = p.records[last].logExit // records ascend
	}
	return p
}

// logExposure is the log of the sum of x^shape - e^shape over units, -Inf
// without units.
func (p posterior) logExposure(shape float64) float64 {
	sum := 0.0
	for _, r := range p.records {
		sum -= r.count * math.Exp(shape*(r.logExit-p.longest)) * math.Expm1(-shape*r.gap)
	}
	return shape*p.longest + math.Log(sum)
}

// logLik is the log likelihood alone.
func (p posterior) logLik(a, b float64) float64 {
	return p.logLikGiven(a, b, p.logExposure(math.Exp(a)))
}

func (p posterior) logLikGiven(a, b, logExposure float64) float64 {
	shape := math.Exp(a)
	return p.ended*a + shape*(p.logEnded-p.ended*b) - p.logEnded - math.Exp(logExposure-shape*b)
}

// at is the log posterior but for a constant; -Inf where it cannot be computed.
func (p posterior) at(a, b float64) float64 {
	return orNothing(p.logLik(a, b) + p.shape.logDensity(a) + p.scale.logDensity(b))
}

// overScale is the log posterior at a, maximised over b, and that b.
func (p posterior) overScale(a float64) (value, b float64) {
	logExposure := p.logExposure(math.Exp(a))
	b = p.bestLogScale(math.Exp(a), logExposure)
	value = p.logLikGiven(a, b, logExposure) + p.shape.logDensity(a) + p.scale.logDensity(b)
	return orNothing(value), b
}

// bestLogScale maximises over b, where the log posterior is concave. Its slope
//
//	shape (exp(logExposure - shape b) - ended) - precision (b - mean)
//
// falls, so the root lies between those of its two parts.
func (p posterior) bestLogScale(shape, logExposure float64) float64 {
	fromUnits := (logExposure - math.Log(p.ended)) / shape // +Inf if none has ended
	if p.scale.precision == 0 {
		return fromUnits
	}
	if len(p.records) == 0 {
		return p.scale.mean
	}
	slope := func(b float64) float64 {
		return shape*(math.Exp(logExposure-shape*b)-p.ended) - p.scale.precision*(b-p.scale.mean)
	}
	low, high := p.scale.mean, fromUnits
	if p.ended == 0 {
		// Past logExposure/shape the units pull by less than shape.
		high = max(low, logExposure/shape) + shape/p.scale.precision
	}
	if high < low {
		low, high = high, low
	}
	return bisect(slope, low, high)
}

// bisect finds where a falling function changes sign between low and high, to
// the last digit.
func bisect(f func(float64) float64, low, high float64) float64 {
	for range 200 {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			return middle
		}
		if f(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}

// slopes are the first derivatives of the log posterior and the negatives of
// the second (the observed information).
type slopes struct {
	a, b       float64
	aa, ab, bb float64
}

func (p posterior) slopes(a, b float64) slopes {
	shape := math.Exp(a)
	s := slopes{
		a: p.ended + shape*(p.logEnded-p.ended*b) - p.shape.precision*(a-p.shape.mean),
		b: -shape*p.ended - p.scale.precision*(b-p.scale.mean),
	}
	s.aa = -shape*(p.logEnded-p.ended*b) + p.shape.precision
	s.ab = shape * p.ended
	s.bb = p.scale.precision
	for _, r := range p.records {
		v := shape * (r.logExit - b) // log H(x)
		hx := r.count * math.Exp(v)
		h, hv, hvv := hx, hx*v, hx*v*(v+1) // of x
		if delta := shape * r.gap; !math.IsInf(delta, 1) {
			// Less those of e, where v is smaller by delta, without taking
			// nearly equal numbers from each other.
			ve := v - delta
			h = -hx * math.Expm1(-delta)
			hv = h*ve + hx*delta
			hvv = h*ve*(ve+1) + hx*delta*(v+ve+1)
		}
		s.a -= hv
		s.b += h * shape
		s.aa += hvv
		s.ab -= (hv + h) * shape
		s.bb += h * shape * shape
	}
	return s
}

// covariance inverts the information; ok is false where it is not positive
// definite, that is away from a proper maximum.
func (s slopes) covariance() (cov [2][2]float64, ok bool) {
	det := s.aa*s.bb - s.ab*s.ab
	// A determinant lost in rounding is no curvature.
	if !(s.aa > 0 && s.bb > 0 && det > 1e-12*s.aa*s.bb) {
		return cov, false
	}
	return [2][2]float64{{s.bb / det, -s.ab / det}, {-s.ab / det, s.aa / det}}, true
}

// orNothing makes a value that could not be computed lose every comparison.
func orNothing(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 1) {
		return math.Inf(-1)
	}
	return x
}
