package watch

import (
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/wall"
)

// leastScatter is how many casts must speak before the scatter is taken to
// depend on the wall.
const leastScatter = 40

// scatterOf gives thin walls the larger scatter on the log scale that they have: an
// error of reading is one of so many mm whatever the wall, and the wall model
// knows one scatter of log wall only. The squares of the residuals, in variances
// of the model, are regressed on the square of a middle wall over the fitted one,
//
//	E(r²/σ²) = α + β·(L̄/L)²,  α, β >= 0,
//
// so that errors of thin and thick walls count alike in the charts. The mean
// over all casts stays that of the model.
func scatterOf(log history.Log, tracks []wall.Track) scatter {
	var logs, n float64
	each := func(do func(c *wall.TrackCast, fitted float64)) {
		for m := range tracks {
			for i := range tracks[m].Casts {
				c := &tracks[m].Casts[i]
				do(c, fittedMM(log, c))
			}
		}
	}
	each(func(_ *wall.TrackCast, fitted float64) {
		logs += math.Log(fitted)
		n++
	})
	if n < leastScatter {
		return scatter{}
	}
	middle := math.Exp(logs / n)
	var sx, sy, sxx, sxy float64
	each(func(c *wall.TrackCast, fitted float64) {
		z := clipped(c.Residual / math.Sqrt(c.Variance))
		x, y := math.Pow(middle/fitted, 2), z*z
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	})
	spread := sxx - sx*sx/n
	if spread <= 1e-9*n || sy <= 0 {
		return scatter{}
	}
	// Both coefficients at least 0: the slope lies between 0 and that of a line
	// through the origin.
	beta := min(max((sxy-sx*sy/n)/spread, 0), sy/sx)
	return scatter{middle: middle, alpha: (sy - beta*sx) / n, beta: beta, n: n, sy: sy}
}

// scatter is that law; the zero scatter leaves variances as they are.
type scatter struct{ middle, alpha, beta, n, sy float64 }

// apply scales the variances of casts.
func (s scatter) apply(log history.Log, casts []wall.TrackCast) {
	if s.n == 0 {
		return
	}
	for i := range casts {
		c := &casts[i]
		c.Variance *= (s.alpha + s.beta*math.Pow(s.middle/fittedMM(log, c), 2)) * s.n / s.sy
	}
}

func fittedMM(log history.Log, c *wall.TrackCast) float64 {
	return log.Casts[c.Cast].WallMM * math.Exp(-c.Residual)
}
