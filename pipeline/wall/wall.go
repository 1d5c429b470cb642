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
//
// What all molds share (law, terms, drying time, scale of the weights) is chosen
// on Settings.Learn casts at most. The chosen law is then fitted to all casts of
// the log, of which nothing but a small triangle a mold is held.
func Run(log history.Log, studio tables.Studio, set Settings) Answer {
	if most, counts := learnable(log, set); most < len(log.Casts) {
		return runFar(log, studio, set, most, counts)
	}
	in := gather(log, studio)
	fitted, why := learn(in, set)
	if why != "" {
		return practice(in, set, why)
	}
	ans := answerOf(fitted, newPosterior(in, fitted.best, fitted.weights), set)
	ans.Used, ans.Problems = usedOfAll(ans.Posterior, studio)
	ans.Casts = len(ans.Used)
	return ans
}

// learn fits the laws to the rows, or says why that cannot be.
func learn(in inputs, set Settings) (f fitted, why string) {
	if len(in.rows) < set.LeastCasts {
		have := fmt.Sprintf("only %d casts have", len(in.rows))
		if len(in.rows) == 0 {
			have = "no cast has"
		}
		return f, fmt.Sprintf("%s both a dwell and a wall, and a fit needs %d", have, set.LeastCasts)
	}
	if in.laws = set.laws(); len(in.laws) == 0 {
		return f, fmt.Sprintf("the settings name no law that is known; name one of %q, %q and %q, or none for all", Parabolic, Power, Filtration)
	}
	f, err := fitLaws(in)
	switch {
	case errors.Is(err, mixed.ErrExactFit):
		return f, "the walls follow the dwells without any scatter, so there is no reading error to learn from; were they calculated instead of measured?"
	case err != nil:
		return f, "the wall model could not be fitted: " + err.Error()
	}
	return f, ""
}

// answerOf is the answer but for the casts of the fit.
func answerOf(f fitted, p *Posterior, set Settings) Answer {
	ans := Answer{
		Fitted: true, Chosen: f.best.law.name(), ChosenBy: f.reason,
		Candidates: f.candidates, Dropped: f.notes, Posterior: p,
	}
	ans.Sigma = p.Sigma()
	ans.Exponent, ans.ExponentSE = f.best.exponent()
	ans.Terms = terms(f)
	ans.States = states(p, set)
	ans.Guide = guide(p, set)
	ans.Curves = curves(p)
	ans.Paths = paths(p, set)
	return ans
}
