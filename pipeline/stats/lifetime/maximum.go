package lifetime

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// ErrNoMaximum marks data that fit ever better as shape or scale runs off to
// 0 or infinity, so that no estimate exists without a prior.
var ErrNoMaximum = errors.New("these lives do not settle a Weibull law")

// Log shapes that are looked at without a prior: a shape of 0.01 means that
// the middle half of the lives spans a factor of 10^68, a shape of ten million that
// they agree to seven digits.
const (
	leastLogShape = -4.7
	mostLogShape  = 16.2
	logShapeStep  = 0.25
)

// explain says in plain words why no maximum can exist, or returns nil.
func (p posterior) explain() error {
	if p.ended == 0 && (p.shape.precision == 0 || p.scale.precision == 0) {
		return fmt.Errorf("%w: no unit has ended; wait for the first to end, or give a prior for shape and scale", ErrNoMaximum)
	}
	if p.shape.precision > 0 {
		return nil
	}
	// Without a longer life beside it, ever larger shapes fit ever better.
	for _, r := range p.records {
		if r.ended > 0 && r.logExit < p.longest {
			return nil
		}
	}
	return fmt.Errorf("%w: all units that ended did so at one age and none lived longer; "+
		"wait for another life, or give a prior for the shape", ErrNoMaximum)
}

// maximum finds the mode: a scan over log shape, since with truncation or a
// prior there may be more than one hill, then Newton's steps to the last digit.
func (p posterior) maximum() (a, b float64, err error) {
	if err := p.explain(); err != nil {
		return 0, 0, err
	}
	a, edge := climb(func(a float64) float64 { v, _ := p.overScale(a); return v }, p.logShapes())
	if edge != 0 && p.shape.precision == 0 {
		if edge < 0 {
			return 0, 0, fmt.Errorf("%w: the hazard falls faster with age than any Weibull law allows; give a prior for the shape", ErrNoMaximum)
		}
		return 0, 0, fmt.Errorf("%w: the lives agree too closely; give a prior for the shape", ErrNoMaximum)
	}
	_, b = p.overScale(a)
	a, b = p.newton(a, b)
	return a, b, nil
}

// logShapes are the points of the scan, ascending.
func (p posterior) logShapes() []float64 {
	var points []float64
	for a := leastLogShape; a <= mostLogShape; a += logShapeStep {
		points = append(points, a)
	}
	if p.shape.precision > 0 {
		sd := 1 / math.Sqrt(p.shape.precision)
		for i := -16; i <= 16; i++ {
			points = append(points, p.shape.mean+float64(i)/2*sd)
		}
		slices.Sort(points)
		points = slices.Compact(points)
	}
	return points
}

// climb maximises f near the best of the ascending points. Edge is -1 or 1
// where f still rises beyond the first or last point.
func climb(f func(float64) float64, points []float64) (x float64, edge int) {
	best, highest := 0, math.Inf(-1)
	for i, at := range points {
		if v := f(at); v > highest {
			best, highest = i, v
		}
	}
	low, high := points[max(best-1, 0)], points[min(best+1, len(points)-1)]
	switch best {
	case 0:
		edge = -1
		low = outward(f, points[0], highest, -1)
	case len(points) - 1:
		edge = 1
		high = outward(f, points[best], highest, 1)
	}
	return golden(f, low, high), edge
}

// outward steps from a point, doubling, until f is lower than its best so far.
func outward(f func(float64) float64, from, value, direction float64) float64 {
	for step := 0.5; step < 1e3; step *= 2 {
		at := from + direction*step
		v := f(at)
		if v < value {
			return at
		}
		value = v
	}
	return from
}

// golden maximises f between low and high by golden section.
func golden(f func(float64) float64, low, high float64) float64 {
	const ratio = 0.6180339887498949
	x1, x2 := high-ratio*(high-low), low+ratio*(high-low)
	f1, f2 := f(x1), f(x2)
	for range 60 {
		if high-low < 1e-7 {
			break
		}
		if f1 >= f2 {
			high, x2, f2 = x2, x1, f1
			x1 = high - ratio*(high-low)
			f1 = f(x1)
		} else {
			low, x1, f1 = x1, x2, f2
			x2 = low + ratio*(high-low)
			f2 = f(x2)
		}
	}
	return (low + high) / 2
}

// newton polishes a mode that is already known to six or seven digits.
func (p posterior) newton(a, b float64) (float64, float64) {
	value := p.at(a, b)
	for range 20 {
		s := p.slopes(a, b)
		cov, ok := s.covariance()
		if !ok {
			break
		}
		da, db := cov[0][0]*s.a+cov[0][1]*s.b, cov[1][0]*s.a+cov[1][1]*s.b
		next := p.at(a+da, b+db)
		if !(next >= value-1e-9*(1+math.Abs(value))) {
			break
		}
		a, b, value = a+da, b+db, next
		if math.Abs(da)+math.Abs(db) < 1e-14*(1+math.Abs(a)+math.Abs(b)) {
			break
		}
	}
	return a, b
}
