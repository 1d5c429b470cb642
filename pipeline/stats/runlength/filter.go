package runlength

import "math"

// Observation is one of a series y = z'b + ε in which b ~ N(0, G) is the same
// for the whole series and ε ~ N(0, Var) is not.
type Observation struct {
	Y     float64
	Z     []float64
	Var   float64
	Trust float64 // in (0, 1]: an observation trusted less teaches b as if its variance were Var/Trust
	At    float64 // place on the axis along which a slope may change, ascending
	Slope float64 // what a change of slope by one adds to y per unit of At, from its onset on
}

// Filter predicts each observation of a series from those before it (the
// recursive form of the mixed model; Kalman, J. Basic Eng. 82, 1960).
type Filter struct {
	mean []float64
	cov  [][]float64
}

// NewFilter starts before the first observation; G is copied.
func NewFilter(g [][]float64) *Filter {
	f := &Filter{mean: make([]float64, len(g)), cov: make([][]float64, len(g))}
	for i := range g {
		f.cov[i] = append([]float64(nil), g[i]...)
	}
	return f
}

// Step is the error of the prediction of o, the variance of that error, and how
// much of an error each effect takes up.
func (f *Filter) Step(o Observation) (err, variance float64, gain []float64) {
	q := len(f.mean)
	pz := make([]float64, q)
	predicted, known := 0.0, 0.0
	for j := range q {
		predicted += o.Z[j] * f.mean[j]
		for k := range q {
			pz[j] += f.cov[j][k] * o.Z[k]
		}
		known += o.Z[j] * pz[j]
	}
	err, variance = o.Y-predicted, known+o.Var
	gain = make([]float64, q)
	taught := known + o.Var/o.Trust
	for j := range q {
		gain[j] = pz[j] / taught
		f.mean[j] += gain[j] * err
	}
	for j := range q {
		for k := range q {
			f.cov[j][k] -= gain[j] * pz[k]
		}
	}
	return err, variance, gain
}

// Clip bounds a standardised error to ±bound, so that one gross error cannot
// raise a chart.
func Clip(z, bound float64) float64 { return math.Max(-bound, math.Min(bound, z)) }
