package wander

import (
	"fmt"
	"math"
)

// Unit is the readings of one unit. A unit without readings is allowed: it is
// forecast from what the others tell.
type Unit struct {
	Ages    []float64 // in ascending order, 0 or more; two readings may share an age
	Values  []float64 // as many as Ages
	Weights []float64 // positive: a reading's variance is Noise²/weight; nil for 1 each
	Level   []float64 // row of the design of the mean level at age 0; nil for {1}
	Drift   []float64 // row of the design of the mean drift; nil for {1}
}

func (u *Unit) check() error {
	if len(u.Values) != len(u.Ages) || u.Weights != nil && len(u.Weights) != len(u.Ages) {
		panic(fmt.Sprintf("wander: %d ages, %d values, %d weights", len(u.Ages), len(u.Values), len(u.Weights)))
	}
	last := 0.0
	for j, age := range u.Ages {
		switch {
		case math.IsNaN(age) || math.IsInf(age, 0) || age < 0:
			return fmt.Errorf("the age of reading %d is %g, it must be a number, 0 or more", j+1, age)
		case age < last:
			return fmt.Errorf("reading %d at age %g follows one at age %g: sort them by age", j+1, age, last)
		case math.IsNaN(u.Values[j]) || math.IsInf(u.Values[j], 0):
			return fmt.Errorf("the value of reading %d is %g", j+1, u.Values[j])
		}
		if w := u.weight(j); !(w > 0) || math.IsInf(w, 0) {
			return fmt.Errorf("the weight of reading %d is %g, it must be positive", j+1, w)
		}
		last = age
	}
	return nil
}

func (u *Unit) weight(j int) float64 {
	if u.Weights == nil {
		return 1
	}
	return u.Weights[j]
}

// constant is the design of a mean that all units share.
var constant = []float64{1}

func (u *Unit) level() []float64 {
	if u.Level == nil {
		return constant
	}
	return u.Level
}

func (u *Unit) drift() []float64 {
	if u.Drift == nil {
		return constant
	}
	return u.Drift
}

// checkAll names the first unusable unit by its place, counted from 1. Rows of
// the designs must all have the same length, or it panics.
func checkAll(units []Unit) error {
	for i := range units {
		u := &units[i]
		if len(u.level()) != len(units[0].level()) || len(u.drift()) != len(units[0].drift()) {
			panic("wander: rows of the design differ in length")
		}
		if err := u.check(); err != nil {
			return fmt.Errorf("unit %d of %d cannot be used: %w", i+1, len(units), err)
		}
		for _, v := range append(append([]float64(nil), u.level()...), u.drift()...) {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("unit %d of %d cannot be used: its design has the value %g", i+1, len(units), v)
			}
		}
	}
	return nil
}
