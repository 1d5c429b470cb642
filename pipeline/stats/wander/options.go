package wander

import (
	"fmt"
	"math"
)

// Options of a fit. The zero value fits wandering paths by restricted maximum
// likelihood without beliefs.
type Options struct {
	Course    Course
	Criterion Criterion
	Spreads   Spreads // are level and drift of a unit correlated across units?

	Priors     Priors
	LevelMeans []Normal // beliefs in the coefficients of the mean level; nil for none
	DriftMeans []Normal // likewise of the mean drift

	// Points is the number of places at which the uncertainty of σ, q, s_a and
	// s_b is carried into forecasts; 0 means 128.
	Points int
}

// Course is the shape of a path.
type Course int

const (
	Wandering Course = iota // q is estimated
	Straight                // q = 0
)

// Criterion is what is maximised.
type Criterion int

const (
	REML Criterion = iota // the likelihood with the means integrated out
	ML                    // the likelihood
)

// Spreads says whether a unit's level and drift are independent of each other.
type Spreads int

const (
	Independent Spreads = iota
	Correlated
)

// Priors are beliefs in standard deviations. The zero value of each means none:
// the estimate is by likelihood alone, while the uncertainty that forecasts
// carry takes a half-Cauchy law as wide as the readings scatter (Gelman 2006,
// Bayesian Analysis 1(3): flat near 0, and proper with few units).
type Priors struct {
	Noise     LogNormal // σ, in units of the values
	Diffusion LogNormal // √q, in units of the values per √age
	LevelSD   LogNormal // s_a, in units of the values
	DriftSD   LogNormal // s_b, in units of the values per age
}

// LogNormal is a belief about a positive number whose logarithm is normal.
// An SDLog of 0 means no belief.
type LogNormal struct {
	Median float64
	SDLog  float64 // standard deviation of the natural logarithm
}

// Normal is a belief about a coefficient. An SD of 0 means no belief.
type Normal struct {
	Mean, SD float64
}

const defaultPoints = 128

func (o *Options) points() int {
	if o.Points <= 0 {
		return defaultPoints
	}
	return o.Points
}

func (o *Options) check(levels, drifts int) error {
	if o.LevelMeans != nil && len(o.LevelMeans) != levels || o.DriftMeans != nil && len(o.DriftMeans) != drifts {
		panic("wander: beliefs in the means do not match the design")
	}
	for _, b := range []LogNormal{o.Priors.Noise, o.Priors.Diffusion, o.Priors.LevelSD, o.Priors.DriftSD} {
		if b.SDLog != 0 && (!(b.SDLog > 0) || !(b.Median > 0) || math.IsInf(b.SDLog, 1) || math.IsInf(b.Median, 1)) {
			return fmt.Errorf("a belief with median %g and spread %g: both must be positive numbers", b.Median, b.SDLog)
		}
	}
	for _, b := range append(append([]Normal(nil), o.LevelMeans...), o.DriftMeans...) {
		if !(b.SD >= 0) || math.IsInf(b.SD, 1) || math.IsNaN(b.Mean) || math.IsInf(b.Mean, 0) {
			return fmt.Errorf("a belief with mean %g and standard deviation %g", b.Mean, b.SD)
		}
	}
	return nil
}
