package life

import "moldwright/pipeline/tables"

// Answer is what the life stage says about molds in service.
type Answer struct {
	WhyNot    string // why there are no forecasts, "" where there are
	Fits      []tables.LifeFit
	Remaining []tables.RemainingCasts
	Draws     [][]float64 // of remaining casts, ascending, by row of Remaining: a predictive sample
	Curves    []Curve
	Wandering bool               // whether paths wander by the data, or go straight
	Notes     []string           // assumptions a reader must know, for example what came from common practice
	Causes    []Incidence        // by kind: what ended its molds, and when
	CauseRows []tables.LifeCause // the same as a table

	known *Known // for further forecasts from the same log
}

// Curve is the share of a kind's molds that live past an age: the fitted
// Weibull law, and the product-limit (Kaplan-Meier) steps of the log.
type Curve struct {
	Kind      string
	AgeCasts  []float64
	Survival  []float64
	Lower80   []float64
	Upper80   []float64
	StepAge   []float64 // ages at which molds ended, starting with 0
	StepShare []float64 // share alive just after that age
}
