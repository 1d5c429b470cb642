package watch

import "moldwright/pipeline/tables"

// Answer is the watch list: every mold with measured casts, flagged first.
type Answer struct {
	WhyNot string
	Molds  []tables.Watch
	Charts []Chart // one a flagged mold
	Notes  []string
}

// Chart is a mold's cumulative sum of one-step-ahead prediction errors.
type Chart struct {
	Mold     string
	AgeCasts []float64
	Sum      []float64 // one-sided CUSUM, in standard deviations
	Limit    float64
}
