package wander

import "math"

// filters keeps what the readings of all units say under the last few ratios of
// wandering to noise. With V = σ²V₁, a filter at σ = 1 serves every σ, and the
// spreads of level and drift do not enter: most steps of a search, and every one of
// straight paths, need no pass over the readings.
type filters struct {
	kept [4]filtered
	next int
}

// filtered are the units' readings at σ = 1 under one ratio.
type filtered struct {
	ratio float64
	units []whitened
}

// at finds the readings under the shape's ratio, by a pass over them where they are
// not among those kept. Without noise there is no ratio: it is nil.
func (p *problem) filtered(s *shape) *filtered {
	if !(s.noise > 0) {
		f := &filtered{units: make([]whitened, len(p.units))}
		for i := range p.units {
			f.units[i] = p.units[i].whiten(s)
		}
		return f
	}
	ratio := s.ratio()
	for k := range p.last.kept {
		if f := &p.last.kept[k]; f.units != nil && f.ratio == ratio {
			return f
		}
	}
	f := &p.last.kept[p.last.next]
	p.last.next = (p.last.next + 1) % len(p.last.kept)
	if f.units == nil {
		f.units = make([]whitened, len(p.units))
	}
	f.ratio = ratio
	unit := shape{noise: 1, walk: ratio}
	for i := range p.units {
		f.units[i] = p.units[i].whiten(&unit)
	}
	return f
}

// ratio is that of wandering to noise, to twelve digits: noise that is changed
// while the ratio stays gives the same.
func (s *shape) ratio() float64 {
	return math.Float64frombits((math.Float64bits(s.walk/s.noise) + 1<<11) &^ (1<<12 - 1))
}

// scale brings readings from σ = 1 to that of a shape.
type scale struct {
	root, inverse, noise, logNoise float64
}

func (s *shape) scale() scale {
	if !(s.noise > 0) {
		return scale{root: 1, inverse: 1, noise: 1}
	}
	root := 1 / math.Sqrt(s.noise)
	return scale{root: root, inverse: root * root, noise: s.noise, logNoise: math.Log(s.noise)}
}

// of is the unit's readings, so many, at the scale's noise.
func (c *scale) of(w *whitened, readings int) whitened {
	out := *w
	out.a[0][0], out.a[0][1], out.a[1][1] = c.root*w.a[0][0], c.root*w.a[0][1], c.root*w.a[1][1]
	out.u[0], out.u[1] = c.root*w.u[0], c.root*w.u[1]
	out.left2 = c.inverse * w.left2
	out.logDet = w.logDet + float64(readings)*c.logNoise
	out.walkV = c.noise * w.walkV
	return out
}
