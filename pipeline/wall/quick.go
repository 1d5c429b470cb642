package wall

import (
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// Quick is Run for forecasts from a past date: of the answer only Fitted and
// Posterior, or why not. Nothing is worked out that is only told, and the fits do not
// look for other optima than those that the fit before them led to.
func Quick(log history.Log, studio tables.Studio, set Settings) Answer {
	if most, _ := learnable(log, set); most < len(log.Casts) {
		return Run(log, studio, set)
	}
	in := gather(log, studio)
	in.quick = true
	fitted, why := learn(in, set)
	if why != "" {
		return Answer{WhyNot: why}
	}
	return Answer{Fitted: true, Posterior: newPosterior(in, fitted.best, fitted.weights)}
}
