package wander

import (
	"fmt"
	"math"
)

// Model is a fit. Standard deviations and levels are in units of the values,
// drifts in those per unit of age.
type Model struct {
	Noise       float64 // σ, of a reading of weight 1
	Diffusion   float64 // q: variance that wandering adds per unit of age; 0 for a straight path
	LevelSD     float64 // s_a
	DriftSD     float64 // s_b
	Correlation float64 // of level and drift across units; 0 unless Options.Spreads is Correlated
	Level       []Term  // coefficients of the mean level at age 0
	Drift       []Term  // coefficients of the mean drift

	LogLik     float64 // REML or ML, without the beliefs in spreads
	Parameters int     // means and spreads estimated
	AICc       float64 // of models with the same design; +Inf with hardly more readings than parameters
	Readings   int

	// Points are the uncertainty of the spreads, which every forecast carries.
	Points []Point

	problem *problem
	at      Point // the estimate
}

// Term is a coefficient with its standard error given the spreads.
type Term struct {
	Estimate, StdErr float64
}

// Fit estimates the model. Errors are due to the readings or the options: too
// few of them for the design, or a missing belief, which they name.
func Fit(units []Unit, opt Options) (*Model, error) {
	p, err := newProblem(units, opt)
	if err != nil {
		return nil, fmt.Errorf("fitting paths: %w", err)
	}
	if _, ok := p.solve(&shape{noise: 1}, REML); !ok {
		return nil, fmt.Errorf("fitting paths: %d readings of %d units do not settle %d coefficients of the means: fewer groups or beliefs in them are needed",
			p.readings, len(units), p.levels+p.drifts)
	}
	x, f := p.estimate()
	if math.IsInf(f, 0) || math.IsNaN(f) {
		return nil, fmt.Errorf("fitting paths: the likelihood of %d readings has no maximum", p.readings)
	}
	m := p.model(x)
	m.Points = p.points(x)
	if len(m.Points) == 0 {
		return nil, fmt.Errorf("fitting paths: the uncertainty of %d readings cannot be told", p.readings)
	}
	p.sums, p.last = nil, filters{} // of use in a search only
	return m, nil
}

func (p *problem) model(x spread) *Model {
	s := x.shape()
	sol, _ := p.solve(&s, p.opt.Criterion)
	at := p.pointAt(&x, sol)
	m := &Model{
		Noise: at.Noise, Diffusion: at.Diffusion, LevelSD: at.LevelSD, DriftSD: at.DriftSD, Correlation: at.Correlation,
		LogLik: -sol.criterion / 2, Readings: p.readings, problem: p, at: at,
	}
	m.Parameters = len(p.means) + len(p.free())
	n, k := float64(p.readings), float64(m.Parameters)
	m.AICc = math.Inf(1)
	if n > k+1 {
		m.AICc = sol.criterion + 2*k*n/(n-k-1)
	}
	for j := range p.means {
		size := p.valueScale
		if j >= p.levels {
			size /= p.ageScale
		}
		t := Term{Estimate: p.centre[j] + size*sol.beta[j], StdErr: size * math.Sqrt(sol.info.inverseAt(j, j))}
		if j < p.levels {
			m.Level = append(m.Level, t)
		} else {
			m.Drift = append(m.Drift, t)
		}
	}
	return m
}
