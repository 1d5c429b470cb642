package wander

import (
	"math"
	"math/rand/v2"
)

// Path is one drawn path, at the age reached so far. Its drift and the size of
// its steps are drawn once, its wandering as it goes.
type Path struct {
	Age   float64
	Start float64 // level at age 0
	Level float64 // at Age, without the noise of a reading
	Drift float64 // per unit of age

	sd  float64 // of wandering, per √age
	rng *rand.Rand
}

// Next is the level at the next whole age.
func (p *Path) Next() float64 { return p.To(math.Floor(p.Age) + 1) }

// To is the level at an age, in one step; it panics if the path is past it.
func (p *Path) To(age float64) float64 {
	step := age - p.Age
	if step < 0 || math.IsNaN(step) {
		panic("wander: a path cannot go back")
	}
	p.Level += p.Drift * step
	if p.sd > 0 && step > 0 {
		p.Level += p.sd * math.Sqrt(step) * p.rng.NormFloat64()
	}
	p.Age = age
	return p.Level
}

// Side of a limit.
type Side int

const (
	Above Side = iota
	Below
)

func (s Side) beyond(level, limit float64) bool {
	if s == Below {
		return level < limit
	}
	return level > limit
}

// FirstPassage is the first age at which the path is beyond the limit, which
// may depend on age: the age reached so far or one of the whole ages after it
// up to last. Where there is none it returns last and false.
func (p *Path) FirstPassage(limit func(age float64) float64, side Side, last float64) (age float64, crossed bool) {
	if side.beyond(p.Level, limit(p.Age)) {
		return p.Age, true
	}
	for math.Floor(p.Age)+1 <= last {
		if side.beyond(p.Next(), limit(p.Age)) {
			return p.Age, true
		}
	}
	return last, false
}
