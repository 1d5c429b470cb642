// Package wall answers how wall thickness follows dwell and mold age: the
// working model of slip casting as filtration, fitted to all molds at once.
//
//	log L = form + m·log t + age slope·n + wetness·w + slip + b0 + b1·n + ε
//
// with L the wet wall in mm, t the dwell in min, n the mold age in casts, and
// (b0, b1) what sets a mold apart from its kind. m = ½ is the parabolic law of
// filtration (Darcy; Adcock & McDowall 1957, J. Am. Ceram. Soc. 40, from
// memory). The mixed-model engine is package stats/mixed.
package wall

import (
	"errors"
	"fmt"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/tables"
)

// Run fits the wall model and answers from it. It returns an Answer with Fitted
// false, and the reason, where the log does not carry a fit.
func Run(log history.Log, studio tables.Studio, set Settings) Answer {
	in := gather(log, studio)
	if len(in.rows) < set.LeastCasts {
		have := fmt.Sprintf("only %d casts have", len(in.rows))
		if len(in.rows) == 0 {
			have = "no cast has"
		}
		return practice(in, set, fmt.Sprintf("%s both a dwell and a wall, and a fit needs %d", have, set.LeastCasts))
	}
	fitted, err := fitLaws(in)
	switch {
	case errors.Is(err, mixed.ErrExactFit):
		return practice(in, set, "the walls follow the dwells without any scatter, so there is no reading error to learn from; were they calculated instead of measured?")
	case err != nil:
		return practice(in, set, "the wall model could not be fitted: "+err.Error())
	}
	ans := Answer{
		Fitted: true, Chosen: fitted.best.law.name(), ChosenBy: fitted.reason,
		Candidates: fitted.candidates, Dropped: fitted.notes,
		Posterior: newPosterior(in, fitted.best, fitted.weights),
	}
	ans.Sigma = ans.Posterior.Sigma()
	ans.Exponent, ans.ExponentSE = fitted.best.exponent()
	ans.Terms = terms(fitted)
	ans.States = states(ans.Posterior, set)
	ans.Guide = guide(ans.Posterior, set)
	ans.Used, ans.Problems = used(ans.Posterior, studio)
	ans.Curves = curves(ans.Posterior)
	ans.Paths = paths(ans.Posterior, set)
	return ans
}
