package wander

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// Where a path that wanders is at least farSteps of its steps (standard deviations
// for one unit of age) from a limit, its age of passage is drawn at one go; nearer
// it is followed age by age, for nearSteps ages at most.
const (
	farSteps  = 3.0
	nearSteps = 12
)

// siegmund is −ζ(½)/√(2π): a walk in steps passes a limit as a path in continuous
// time passes one that is so many steps farther (Siegmund 1979, "Corrected
// diffusion approximations in certain random walk problems", Adv. Appl. Prob. 11).
const siegmund = 0.5825971579390107

// Passage is the first age at which the path is above a limit: the age reached so
// far or one of the whole ages after it up to last; last and false where there is
// none. It draws from the law that FirstPassage follows age by age, at a cost that
// does not grow with the ages between: from afar by the inverse Gaussian law of
// first passage with Siegmund's correction. The path itself is not moved.
func (p Path) Passage(limit, last float64) (age float64, crossed bool) {
	level := p.Level
	switch {
	case level > limit:
		return p.Age, true
	case !(p.sd > 0):
		return p.straightPassage(limit, last)
	}
	age = p.Age
	for range nearSteps {
		if limit-level >= farSteps*p.sd {
			break
		}
		next := math.Floor(age) + 1
		if next > last {
			return last, false
		}
		step := next - age
		level += p.Drift*step + p.sd*math.Sqrt(step)*p.rng.NormFloat64()
		if age = next; level > limit {
			return age, true
		}
	}
	wait := inverseGaussian(limit-level+siegmund*p.sd, p.Drift, p.sd, p.rng)
	if age = math.Floor(age) + max(1, math.Ceil(age-math.Floor(age)+wait)); !(age <= last) {
		return last, false
	}
	return age, true
}

// straightPassage is that of a path that goes straight on.
func (p *Path) straightPassage(limit, last float64) (age float64, crossed bool) {
	if !(p.Drift > 0) {
		return last, false
	}
	age = math.Floor(p.Age+(limit-p.Level)/p.Drift) + 1
	if !(age <= last) {
		return last, false
	}
	return age, true
}

// inverseGaussian draws the time at which a Brownian motion with a drift first
// passes a distance above 0, +Inf where it never does (Michael, Schucany & Haas
// 1976, Am. Stat. 30; Folks & Chhikara 1978, J. R. Stat. Soc. B 40, for drifts away).
func inverseGaussian(distance, drift, sd float64, rng *rand.Rand) float64 {
	z := rng.NormFloat64()
	if drift < 0 {
		if rng.Float64() > math.Exp(2*distance*drift/(sd*sd)) {
			return math.Inf(1)
		}
		drift = -drift
	}
	shape := distance * distance / (sd * sd)
	if drift*1e6 < distance*1e-6 || drift == 0 {
		return shape / (z * z) // no drift: Lévy's law
	}
	mean := distance / drift
	y := mean * z * z / (2 * shape)
	// The smaller root of the quadratic, without the cancellation for large y.
	x := mean / (1 + y + math.Sqrt(y*(2+y)))
	if rng.Float64()*(mean+x) <= mean {
		return x
	}
	return mean * mean / x
}

// Fractions of a golden mean in four dimensions, x⁵ = x + 1: multiples of them,
// whole parts taken off, spread evenly over the unit cube (Weyl 1916, Math. Ann. 77;
// the choice of fractions: Roberts 2018, from memory).
const (
	spread1 = 0.8566748838545029
	spread2 = 0.7338918566271260
	spread3 = 0.6287067210378087
)

// Sample draws so many ways at once, spread more evenly over what is known of
// level and drift than as many single draws, so that fewer of them do. The paths'
// further wandering is drawn from the generator as they go.
func (f Forecast) Sample(count int, rng *rand.Rand) []Path {
	return f.SampleInto(make([]Path, count), rng)
}

// SampleInto is Sample of as many ways as there is room for, in that room.
func (f Forecast) SampleInto(out []Path, rng *rand.Rand) []Path {
	count := len(out)
	at, u1, u2, u3 := rng.Float64(), rng.Float64(), rng.Float64(), rng.Float64()
	k := 0
	for i := range out {
		for share := (float64(i) + at) / float64(count); k < len(f.laws)-1 && share > f.upTo[k]; {
			k++
		}
		n := float64(i)
		out[i] = f.laws[k].path(f.age, normalAt(u1+n*spread1), normalAt(u2+n*spread2), normalAt(u3+n*spread3), rng)
	}
	return out
}

// normalAt is the normal quantile of the fractional part of u.
func normalAt(u float64) float64 {
	u -= math.Floor(u)
	return distuv.UnitNormal.Quantile(min(max(u, 1e-12), 1-1e-12))
}
