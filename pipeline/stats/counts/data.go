package counts

import (
	"errors"
	"fmt"
	"math"
)

// Data are the rows of a model.
type Data struct {
	Y      []float64   // counts: whole, 0 or more
	X      [][]float64 // a row of covariates for each count
	Offset []float64   // log of the exposure of each; nil for 0
	Belief []float64   // standard deviation of the belief about each coefficient, above 0, +Inf for none; nil for none at all
}

// ErrNotFixed is returned where the data, and beliefs, leave a coefficient open.
var ErrNotFixed = errors.New("counts: the rows leave a coefficient open")

// check panics where lengths differ, which is our own mistake, and returns an
// error for values that no count can have.
func (d Data) check() error {
	if len(d.X) != len(d.Y) || d.Offset != nil && len(d.Offset) != len(d.Y) {
		panic("counts: rows of different numbers")
	}
	if len(d.Y) == 0 {
		return errors.New("counts: no rows")
	}
	for i, y := range d.Y {
		if len(d.X[i]) != len(d.X[0]) {
			panic("counts: rows of different lengths")
		}
		if !(y >= 0) || y != math.Floor(y) || math.IsInf(y, 0) {
			return fmt.Errorf("counts: %v is not a count", y)
		}
		for _, x := range d.X[i] {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return fmt.Errorf("counts: a covariate is %v", x)
			}
		}
		if o := d.offset(i); math.IsNaN(o) || math.IsInf(o, 0) {
			return fmt.Errorf("counts: an offset is %v", o)
		}
	}
	if d.Belief != nil && len(d.Belief) != len(d.X[0]) {
		panic("counts: beliefs and covariates of different numbers")
	}
	return nil
}

func (d Data) offset(i int) float64 {
	if d.Offset == nil {
		return 0
	}
	return d.Offset[i]
}

// precision of the belief about a coefficient, 0 for none.
func (d Data) precision(j int) float64 {
	if d.Belief == nil {
		return 0
	}
	return 1 / (d.Belief[j] * d.Belief[j])
}

// farLog bounds the log of a mean: beyond it a count is none, or past all bounds.
const farLog = 30

// means are the μ of all rows.
func (d Data) means(beta []float64) []float64 {
	mu := make([]float64, len(d.Y))
	for i, x := range d.X {
		eta := d.offset(i)
		for j, b := range beta {
			eta += x[j] * b
		}
		mu[i] = math.Exp(min(max(eta, -farLog), farLog))
	}
	return mu
}

// logLik is the log likelihood at these means.
func (d Data) logLik(mu []float64, theta float64) float64 {
	var sum float64
	for i, y := range d.Y {
		sum += Law{Mean: mu[i], Size: theta}.LogProb(y)
	}
	return sum
}

// logBelief is the log density of the beliefs at β, but for a constant.
func (d Data) logBelief(beta []float64) float64 {
	var sum float64
	for j, b := range beta {
		sum -= d.precision(j) * b * b / 2
	}
	return sum
}
