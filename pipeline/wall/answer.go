package wall

import (
	"iter"
	"slices"

	"moldwright/pipeline/tables"
)

// Answer is what the wall stage says: which law was chosen, what each mold is
// today, and how long to leave the slip in.
type Answer struct {
	Fitted     bool   // false below the least number of usable casts
	WhyNot     string // why there is no fit, and what would give one
	Chosen     string // name of the chosen law
	ChosenBy   string // by how much it was better, in words
	Exponent   float64
	ExponentSE float64 // 0 where the exponent is fixed
	Sigma      float64 // residual standard deviation of log wall
	Candidates []Candidate
	Terms      []tables.WallFit
	States     []tables.MoldState // one a mold, by name
	Guide      []tables.DwellGuide
	Casts      int               // how many casts the fit rests on
	Used       []tables.CastUsed // those casts, or of a large log some of them: see AllUsed
	Dropped    []string          // terms that the data could not carry, and why; and what was chosen on a part of a large log
	Curves     []Curve
	Paths      []Path
	Learned    int // casts that what all molds share was chosen on; 0 where on all
	Problems   []tables.Problem
	Posterior  *Posterior // what later stages predict and draw from; nil where not fitted

	each func(yield func(tables.CastUsed) bool) // walks over all casts of the fit; nil where Used holds them
}

// CastsUsed is how many casts the fit rests on, also where Used holds some of them.
func (a Answer) CastsUsed() int { return max(a.Casts, len(a.Used)) }

// AllUsed walks over all casts of the fit in the order of the log, by mold. Those
// of a large log are worked out as they are walked over.
func (a Answer) AllUsed() iter.Seq[tables.CastUsed] {
	if a.each != nil {
		return a.each
	}
	return slices.Values(a.Used)
}

// Candidate is a law compared on the same casts.
type Candidate struct {
	Law      string
	AICc     float64 // of the maximum-likelihood fit
	LeftOut  float64 // root-mean-square error of log wall, each mold predicted without its own casts
	Chosen   bool
	Criteria string // what was compared, in words
}

// Curve is wall against dwell for a form, on a typical mold at a middle age, with the casts
// behind it. All slices of a pair have the same length.
type Curve struct {
	Form     string
	AgeCasts int // mold age the curve is drawn for
	DwellMin []float64
	WallMM   []float64
	Lower90  []float64 // prediction interval of one cast of a new mold
	Upper90  []float64
	TargetMM float64 // absent where the form has none

	Casts        int // of the form behind the curve; some of them follow where a log is large
	CastDwellMin []float64
	CastWallMM   []float64 // measured walls brought to the curve's age, wetness and slip by the fit
}

// Path is a mold's casting rate k against its age: as measured, and as fitted.
type Path struct {
	Mold     string
	Form     string
	InUse    bool
	AgeCasts []float64
	Rate     []float64 // wall²/dwell, mm²/min, of each measured cast
	FitAge   []float64
	FitRate  []float64 // at the usual dwell
	FitLow95 []float64
	FitUp95  []float64
}
