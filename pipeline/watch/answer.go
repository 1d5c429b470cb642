package watch

import "moldwright/pipeline/tables"

// Answer is the watch list: every mold with measured casts, flagged first.
type Answer struct {
	WhyNot string
	Molds  []tables.Watch
	Charts []Chart // one a flagged mold, in the order of Molds
	Shelf  []Place // every mold in use, by form and name
	Notes  []string
}

// Chart is the evidence on one mold, cast by cast. The slices of walls have one
// length, those of rejects another.
type Chart struct {
	Mold        string
	AgeCasts    []float64
	WallMM      []float64 // as measured
	PredictedMM []float64 // from the mold's casts before it, for the dwell of this cast
	Lower90     []float64 // of the prediction, mm
	Upper90     []float64
	Z           []float64 // error of log wall in standard deviations; negative: thinner

	Sum   []float64 // one-sided CUSUM of thin walls, in standard deviations
	Limit float64

	Wear      []float64 // evidence of faster wear: natural log of the odds that it grew, a cast counted as one
	WearLimit float64   // absent where the kind does not wear
	Onset     float64   // likeliest age at which wear grew, in casts; 0 where from the first
	FromFirst bool      // whether it more likely wore fast from the first

	RejectAge   []float64 // ages of casts whose result was logged
	Rejects     []float64 // Bernoulli CUSUM of rejects, in steps
	RejectLimit float64   // absent where no result was logged
}

// Statuses of a place on the shelf, in order of urgency.
const (
	Flagged = "flagged"
	Closing = "near its end"
	Fine    = "no sign"
	Unknown = "not measured"
)

// Place is one mold in use as the shelf overview shows it.
type Place struct {
	Mold         string
	Form         string
	Kind         string
	AgeCasts     int
	RemainingP10 float64 // casts; absent where there is no forecast
	RemainingP50 float64
	RemainingP90 float64
	Status       string
	DoNext       string
}
