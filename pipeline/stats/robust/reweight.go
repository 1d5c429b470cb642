package robust

import (
	"errors"
	"fmt"
	"math"
)

// Settings of Reweight; the zero value asks for the defaults.
type Settings struct {
	Weight  Weight                            // nil for Clipped(ClippedC)
	Scale   func(residuals []float64) float64 // nil for MAD
	Rounds  int                               // fits at most; 0 for 30
	Settled float64                           // change of every weight at which to stop; 0 for 1e-3
}

const (
	defaultRounds  = 30
	defaultSettled = 1e-3
)

// Fit fits a model with one weight a row and returns the residuals of all rows,
// those of weight near 0 too, each in units in which rows of weight 1 have equal
// variance. It may keep what it fitted; it must not change weights.
type Fit func(weights []float64) (residuals []float64, err error)

// Outcome is where the reweighting ended. A caller who wants the model for
// exactly these Weights fits once more; the last fit had weights that differ by
// less than Settings.Settled, if Settled.
type Outcome struct {
	Weights   []float64 // that follow from Residuals and Scale
	Residuals []float64 // of the last fit
	Scale     float64   // of Residuals; 0 if half of them are 0: then all weights are 1
	Rounds    int       // fits made
	Settled   bool      // false if the weights still moved after the last allowed round
}

// ErrResiduals says that a fit gave residuals that cannot be weighed.
var ErrResiduals = errors.New("residuals cannot be weighed")

// Reweight fits n rows with weights 1, sets the weights by the residuals, and
// repeats until no weight changes by as much as Settings.Settled (iteratively
// reweighted least squares, Holland & Welsch 1977, Commun. Stat. A 6). The same
// input gives the same bits. Where no residual reaches the bend of the weight
// function it is one ordinary fit, with all weights exactly 1.
//
// Errors are those of fit, and ErrResiduals for residuals that are not n > 0 finite
// numbers.
func Reweight(n int, s Settings, fit Fit) (Outcome, error) {
	s = s.orDefaults()
	out := Outcome{Weights: make([]float64, n)}
	for i := range out.Weights {
		out.Weights[i] = 1
	}
	for out.Rounds < s.Rounds && !out.Settled {
		residuals, err := fit(out.Weights)
		if err != nil {
			return Outcome{}, fmt.Errorf("fit %d of the reweighting: %w", out.Rounds+1, err)
		}
		if err := usable(residuals, n); err != nil {
			return Outcome{}, fmt.Errorf("fit %d of the reweighting: %w", out.Rounds+1, err)
		}
		out.Rounds++
		out.Residuals, out.Scale = residuals, s.Scale(residuals)
		next := weigh(residuals, out.Scale, s.Weight)
		out.Settled = change(out.Weights, next) < s.Settled
		out.Weights = next
	}
	return out, nil
}

func (s Settings) orDefaults() Settings {
	if s.Weight == nil {
		s.Weight = Clipped(ClippedC)
	}
	if s.Scale == nil {
		s.Scale = MAD
	}
	if s.Rounds <= 0 {
		s.Rounds = defaultRounds
	}
	if s.Settled <= 0 {
		s.Settled = defaultSettled
	}
	return s
}

func usable(residuals []float64, n int) error {
	if n == 0 || len(residuals) != n {
		return fmt.Errorf("%w: %d for %d rows", ErrResiduals, len(residuals), n)
	}
	for i, r := range residuals {
		if math.IsNaN(r) || math.IsInf(r, 0) {
			return fmt.Errorf("%w: that of row %d is not a number", ErrResiduals, i)
		}
	}
	return nil
}

// weigh gives every row its weight; without a scale nothing is far.
func weigh(residuals []float64, scale float64, w Weight) []float64 {
	out := make([]float64, len(residuals))
	for i, r := range residuals {
		out[i] = 1
		if scale > 0 {
			out[i] = w(math.Abs(r) / scale)
		}
	}
	return out
}

// change is the largest difference of two weights.
func change(a, b []float64) (most float64) {
	for i := range a {
		most = max(most, math.Abs(a[i]-b[i]))
	}
	return most
}
