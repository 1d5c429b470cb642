package logistic

import (
	"fmt"
	"math"
)

// Row is trials under one set of covariates. Include a column of ones (or one
// for each group) for the intercept.
type Row struct {
	Unit   int       // 0 .. units−1
	X      []float64 // covariates, as many in every row
	Events float64   // how many of the trials had the event
	Trials float64   // 0 means 1
}

func (r *Row) trials() float64 {
	if r.Trials == 0 {
		return 1
	}
	return r.Trials
}

func (r *Row) check(units, columns int) error {
	if len(r.X) != columns {
		panic(fmt.Sprintf("logistic: %d covariates beside %d", len(r.X), columns))
	}
	if r.Unit < 0 || r.Unit >= units {
		panic(fmt.Sprintf("logistic: unit %d of %d", r.Unit, units))
	}
	for k, x := range r.X {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("covariate %d is %g", k+1, x)
		}
	}
	n := r.trials()
	if !(n > 0) || math.IsInf(n, 1) || !(r.Events >= 0) || r.Events > n {
		return fmt.Errorf("%g events in %g trials", r.Events, n)
	}
	return nil
}

// Options are beliefs, whose zero values mean none, and how finely they are
// carried on.
type Options struct {
	Fixed  []Normal   // of the coefficients, one for each covariate; nil for none
	Spread HalfNormal // of the standard deviation of units

	// Points is the number of places at which the uncertainty of coefficients and
	// spread is carried into chances and draws; 0 means 192. Each holds three
	// numbers for each unit.
	Points int
}

// Normal is a belief about a coefficient. An SD of 0 means no belief.
type Normal struct {
	Mean, SD float64
}

// HalfNormal is a belief about a standard deviation: the size of a normal
// variable of that scale. A Scale of 0 means no belief.
type HalfNormal struct {
	Scale float64
}

func (o *Options) check(columns int) error {
	if o.Fixed != nil && len(o.Fixed) != columns {
		panic(fmt.Sprintf("logistic: %d beliefs for %d covariates", len(o.Fixed), columns))
	}
	for _, b := range o.Fixed {
		if !(b.SD >= 0) || math.IsInf(b.SD, 1) || math.IsNaN(b.Mean) || math.IsInf(b.Mean, 0) {
			return fmt.Errorf("a belief with mean %g and standard deviation %g", b.Mean, b.SD)
		}
	}
	if !(o.Spread.Scale >= 0) || math.IsInf(o.Spread.Scale, 1) {
		return fmt.Errorf("a belief in the spread of scale %g", o.Spread.Scale)
	}
	return nil
}

// Warning is something a reader of the answer should know.
type Warning int

const (
	NoEvents  Warning = iota // not one event: only the beliefs keep the chance above 0
	AllEvents                // not one trial without: only the beliefs keep it below 1
	NoSpread                 // the estimate of the spread is 0: units do not differ
)

func (w Warning) String() string {
	switch w {
	case NoEvents:
		return "no event at all: the chance is as low as the beliefs allow"
	case AllEvents:
		return "nothing but events: the chance is as high as the beliefs allow"
	case NoSpread:
		return "units do not differ more than by chance"
	}
	return fmt.Sprintf("warning %d", int(w))
}
