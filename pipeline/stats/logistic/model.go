package logistic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Model is a fit: the mode of the Laplace likelihood times the beliefs.
type Model struct {
	Beta   []float64   // coefficients, log odds per unit of the covariate
	StdErr []float64   // their standard errors, the uncertainty of the spread included
	Cov    [][]float64 // covariance of the coefficients, likewise

	Spread   float64 // s, standard deviation of units' log odds
	SpreadSE float64 // NaN where Spread is 0

	// PriorWeight is the share, 0 to 1, of what is known of each coefficient
	// that comes from its belief: its posterior variance over the belief's.
	PriorWeight []float64

	LogLik   float64 // Laplace log likelihood without the beliefs
	Modes    []Mode  // of each unit's own log odds
	Warnings []Warning

	problem *problem
	points  []point
}

// Mode is a unit's own log odds, given the estimates: its mode, and the variance
// of the normal law about it.
type Mode struct {
	Value, Variance float64
}

// Fit estimates the model from rows of units 0 .. units−1; units may have no
// rows. Errors are due to the rows: they do not settle a coefficient, and a
// belief in it is needed.
func Fit(rows []Row, units int, opt Options) (*Model, error) {
	if len(rows) == 0 {
		return nil, fmt.Errorf("logistic fit: no trials")
	}
	if err := opt.check(len(rows[0].X)); err != nil {
		return nil, fmt.Errorf("logistic fit: %w", err)
	}
	for i := range rows {
		if err := rows[i].check(units, len(rows[0].X)); err != nil {
			return nil, fmt.Errorf("logistic fit: row %d of %d cannot be used: %w", i+1, len(rows), err)
		}
	}
	p := newProblem(rows, units, opt)
	peaks := make([]peak, units)
	v, _ := p.maximum(peaks)
	m := &Model{problem: p, Spread: v[p.columns], SpreadSE: math.NaN(), LogLik: p.logLik(v, peaks)}
	if err := m.uncertainty(v, peaks); err != nil {
		return nil, fmt.Errorf("logistic fit: %w", err)
	}
	m.Modes = make([]Mode, units)
	for i := range peaks {
		m.Modes[i] = Mode{Value: m.Spread * peaks[i].u, Variance: m.Spread * m.Spread / peaks[i].curve}
	}
	m.warn(rows)
	m.points = p.points(v, peaks)
	if len(m.points) == 0 {
		return nil, fmt.Errorf("logistic fit: the uncertainty of %d rows cannot be told", len(rows))
	}
	return m, nil
}

// tooWide is a standard error, in log odds over the range of a covariate, that
// says that the rows do not settle a coefficient.
const tooWide = 30

// uncertainty is by the Hessian at the mode, in β and, unless it is 0, s.
func (m *Model) uncertainty(v []float64, peaks []peak) error {
	p, c := m.problem, m.problem.columns
	n := c
	if m.Spread > 0 {
		n++
	}
	cov := mat.NewSymDense(n, nil)
	if n > 0 {
		var chol mat.Cholesky
		if !chol.Factorize(p.hessian(v, n, peaks)) || chol.InverseTo(cov) != nil {
			return fmt.Errorf("the trials do not settle the coefficients: fewer covariates or beliefs in them are needed")
		}
	}
	for j := range c {
		if se := math.Sqrt(cov.At(j, j)); !(se < tooWide) && p.fixed[j].SD == 0 {
			return fmt.Errorf("the trials do not settle coefficient %d (events may all lie on one side): a belief in it is needed", j+1)
		}
		m.Beta = append(m.Beta, v[j]/p.scale[j])
		m.StdErr = append(m.StdErr, math.Sqrt(cov.At(j, j))/p.scale[j])
		row := make([]float64, c)
		for k := range c {
			row[k] = cov.At(j, k) / p.scale[j] / p.scale[k]
		}
		m.Cov = append(m.Cov, row)
		share := 0.0
		if sd := p.fixed[j].SD; sd > 0 {
			share = min(1, cov.At(j, j)/(sd*sd))
		}
		m.PriorWeight = append(m.PriorWeight, share)
	}
	if m.Spread > 0 {
		m.SpreadSE = math.Sqrt(cov.At(c, c))
		if !(m.SpreadSE < tooWide) && p.spread == 0 {
			return fmt.Errorf("the trials do not settle the spread of units: a belief in it is needed")
		}
	}
	return nil
}

func (m *Model) warn(rows []Row) {
	events, trials := 0.0, 0.0
	for i := range rows {
		events += rows[i].Events
		trials += rows[i].trials()
	}
	switch {
	case events == 0:
		m.Warnings = append(m.Warnings, NoEvents)
	case events == trials:
		m.Warnings = append(m.Warnings, AllEvents)
	}
	if m.Spread == 0 {
		m.Warnings = append(m.Warnings, NoSpread)
	}
}
