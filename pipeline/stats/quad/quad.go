// Package quad integrates curves known at a few points, and carries the errors
// of readings through a calculation.
package quad

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/interp"
)

// Reasons why points cannot be integrated.
var (
	ErrTooFew   = errors.New("fewer than two points")
	ErrOrder    = errors.New("points are not in increasing order")
	ErrInfinite = errors.New("a point is not a finite number")
)

// Integrate returns the integral of the curve through the points (xs, ys) from
// the first x to the last. Three or more equally spaced points are integrated
// by Simpson's rule, others by a monotone cubic. It panics where the lengths
// differ; points that cannot be integrated are an error.
func Integrate(xs, ys []float64) (float64, error) {
	if err := check(xs, ys); err != nil {
		return 0, err
	}
	if len(xs) >= 3 && equallySpaced(xs) {
		return simpson((xs[len(xs)-1]-xs[0])/float64(len(xs)-1), ys), nil
	}
	return monotone(xs, ys), nil
}

// Monotone returns the integral of the monotone piecewise cubic through the
// points, from the first x to the last. Between two points the curve does not
// leave their range, so a step in the data makes no overshoot.
//
// F. N. Fritsch and J. Butland, A method for constructing local monotone
// piecewise cubic interpolants, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304.
func Monotone(xs, ys []float64) (float64, error) {
	if err := check(xs, ys); err != nil {
		return 0, err
	}
	return monotone(xs, ys), nil
}

func monotone(xs, ys []float64) float64 {
	var curve interp.FritschButland
	if err := curve.Fit(xs, ys); err != nil {
		panic(fmt.Sprintf("quad: checked points refused: %v", err))
	}
	var sum float64
	for i := 1; i < len(xs); i++ {
		// Simpson's rule is exact for the cubic of one interval.
		middle := curve.Predict(xs[i-1] + (xs[i]-xs[i-1])/2)
		sum += (xs[i] - xs[i-1]) / 6 * (ys[i-1] + 4*middle + ys[i])
	}
	return sum
}

// simpson is the composite rule for three or more points h apart. An odd number
// of intervals ends with the three-eighths rule, so that cubics stay exact and
// every weight positive:
//
//	h/3·(y0 + 4y1 + y2)   and   3h/8·(y0 + 3y1 + 3y2 + y3)
func simpson(h float64, ys []float64) float64 {
	n := len(ys) - 1 // intervals
	var sum float64
	if n%2 == 1 {
		y := ys[n-3:]
		sum = 3 * h / 8 * (y[0] + 3*y[1] + 3*y[2] + y[3])
		n -= 3
	}
	for i := 2; i <= n; i += 2 {
		sum += h / 3 * (ys[i-2] + 4*ys[i-1] + ys[i])
	}
	return sum
}

func check(xs, ys []float64) error {
	if len(xs) != len(ys) {
		panic("quad: xs and ys differ in length")
	}
	if len(xs) < 2 {
		return ErrTooFew
	}
	for i, x := range xs {
		if !finite(x) || !finite(ys[i]) {
			return fmt.Errorf("point %d: %w", i, ErrInfinite)
		}
		if i > 0 && x <= xs[i-1] {
			return fmt.Errorf("point %d: %w", i, ErrOrder)
		}
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// equallySpaced allows for the rounding of converted units.
func equallySpaced(xs []float64) bool {
	h := (xs[len(xs)-1] - xs[0]) / float64(len(xs)-1)
	for i := 1; i < len(xs); i++ {
		if math.Abs(xs[i]-xs[i-1]-h) > 1e-6*h {
			return false
		}
	}
	return true
}
