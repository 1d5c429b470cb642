package logistic

import (
	"math"
	"slices"
)

// UnitLaw is what is known of one unit at one point of the posterior of
// coefficients and spread.
type UnitLaw struct {
	Weight float64   // of the point; those of all points add to 1
	Beta   []float64 // coefficients; the model's: do not change them

	spread float64
	own    effect
}

// Unit is what is known of a unit of the fit; unit −1 is one not seen.
func (m *Model) Unit(unit int) []UnitLaw {
	out := make([]UnitLaw, len(m.points))
	for k := range m.points {
		pt := &m.points[k]
		out[k] = UnitLaw{Weight: pt.weight, Beta: pt.beta, spread: pt.spread, own: effect{sd: 1}}
		if unit >= 0 {
			out[k].own = pt.effects[unit]
		}
	}
	return out
}

// UnitOf is that of a unit that was not in the fit, by its own rows, whose Unit does
// not count. Without rows it is one not seen.
func (m *Model) UnitOf(rows []Row) []UnitLaw {
	out := m.Unit(-1)
	if len(rows) == 0 {
		return out
	}
	own := slices.Clone(rows)
	for i := range own {
		own[i].Unit = 0
		if err := own[i].check(1, m.problem.columns); err != nil {
			return out // it tells nothing that could be used
		}
	}
	p := newProblem(own, 1, Options{})
	eta := make([]float64, len(own))
	var pk peak
	for k := range out {
		pt := &m.points[k]
		for r := range own {
			eta[r] = 0
			for j, b := range pt.beta {
				eta[r] += b * p.x[r*p.columns+j] * p.scale[j]
			}
		}
		p.bend(0, eta, pt.spread, &pk)
		out[k].own = effectAt(&pk, pt.spread)
	}
	return out
}

// effectAt is the law of a standardised effect about its peak at a spread.
func effectAt(k *peak, s float64) effect {
	sd := 1 / math.Sqrt(k.curve)
	skew := -s * s * s * k.third * sd * sd * sd
	return effect{mode: k.u, sd: sd, skew: min(max(skew, -1), 1)}
}

// Below is the chance that the unit's own log odds are below x.
func (l *UnitLaw) Below(x float64) float64 {
	if !(l.spread > 0) {
		if x > 0 {
			return 1
		}
		return 0
	}
	return normalCDF(l.own.inverse(x / l.spread))
}

// inverse is the standard normal number at which the effect is u; the little that
// the expansion folds back in one tail is left out.
func (e effect) inverse(u float64) float64 {
	y := (u-e.mode)/e.sd - e.skew/3
	if math.Abs(e.skew) < 1e-6 {
		return y
	}
	root := 1 + 2*e.skew*y/3
	if root <= 0 {
		return -3 / e.skew
	}
	return 3 * (math.Sqrt(root) - 1) / e.skew
}

// normalCDF is the standard normal law to 7.5e-8 (Hastings' approximation,
// Abramowitz & Stegun 1964, 26.2.17): many are asked for, and chances are told to
// far fewer digits.
func normalCDF(z float64) float64 {
	size := math.Abs(z)
	if size > 8 {
		size = 8
	}
	t := 1 / (1 + 0.2316419*size)
	tail := t * (0.319381530 + t*(-0.356563782+t*(1.781477937+t*(-1.821255978+t*1.330274429))))
	tail *= math.Exp(-size*size/2) / math.Sqrt(2*math.Pi)
	if z > 0 {
		return 1 - tail
	}
	return tail
}
