package lifetime

import (
	"math"
	"slices"
)

// Step is the product-limit estimate just after one age of exit.
type Step struct {
	Age      float64
	AtRisk   int // units in view and alive just before Age
	Ended    int // of these, ended at Age
	Censored int // of these, out of view at Age, alive

	Survival float64
	SE       float64 // Greenwood's, of Survival; NaN once Survival is 0
	Lower    float64 // 95 % limits by the normal law of log Survival, at most 1; NaN with SE
	Upper    float64
}

// KaplanMeier estimates survival without assuming a law: at each age x at
// which a unit leaves,
//
//	S(x) = product over ages t up to x of (1 - ended(t)/atRisk(t))
//
// where a unit is at risk at ages above its Entry and up to its Exit (Kaplan &
// Meier, J. Am. Stat. Assoc. 53, 1958; variance of Greenwood, 1926). There is
// one step for each distinct age of exit, ascending, whether or not a life
// ended there; no units give no steps.
//
// With late entries S is the survival of units that passed the youngest Entry.
// If ever all the units then in view end together, S falls to 0 and stays
// there however many come into view later: look at AtRisk.
func KaplanMeier(units []Unit) ([]Step, error) {
	if err := checkAll(units); err != nil {
		return nil, err
	}
	entries := make([]float64, len(units))
	for i, u := range units {
		entries[i] = u.Entry
	}
	slices.Sort(entries)

	z := normalTail(0.95)
	var steps []Step
	entered, left := 0, 0
	survival, variance := 1.0, 0.0 // variance of log survival
	for _, step := range exits(units) {
		for entered < len(entries) && entries[entered] < step.Age {
			entered++
		}
		step.AtRisk = entered - left
		left += step.Ended + step.Censored
		n, d := float64(step.AtRisk), float64(step.Ended)
		survival *= (n - d) / n
		variance += d / (n * (n - d)) // Inf once all have ended
		se := math.Sqrt(variance)
		step.Survival, step.SE = survival, survival*se
		step.Lower = survival * math.Exp(-z*se)
		step.Upper = min(1, survival*math.Exp(z*se))
		if survival == 0 {
			step.SE, step.Lower, step.Upper = math.NaN(), math.NaN(), math.NaN()
		}
		steps = append(steps, step)
	}
	return steps, nil
}

// exits counts the units that leave at each distinct age, ascending.
func exits(units []Unit) []Step {
	sorted := slices.Clone(units)
	slices.SortFunc(sorted, func(a, b Unit) int {
		switch {
		case a.Exit < b.Exit:
			return -1
		case a.Exit > b.Exit:
			return 1
		}
		return 0
	})
	var steps []Step
	for i, u := range sorted {
		if i == 0 || u.Exit != sorted[i-1].Exit {
			steps = append(steps, Step{Age: u.Exit})
		}
		last := &steps[len(steps)-1]
		if u.Ended {
			last.Ended++
		} else {
			last.Censored++
		}
	}
	return steps
}
