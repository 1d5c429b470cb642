// Package wander fits degradation paths that drift and wander, seen through
// noise, and tells how they may go on: a Wiener degradation process with a
// drift of its own for each unit.
//
// # The model
//
// Unit i is read at ages n ≥ 0, in any order of spacing:
//
//	y_i(n) = a_i + b_i n + W_i(n) + ε,   ε ~ N(0, σ²/weight)
//	a_i ~ N(A_i α, s_a²),   b_i ~ N(B_i β, s_b²),   W_i Brownian, Var W_i(n) = q n
//
// with rows A_i and B_i of a design for the mean level at age 0 and the mean
// drift (one column of ones each, unless said otherwise). With q = 0 the paths
// are straight and the model is the linear mixed model. What is forecast is the
// path a + b n + W(n), without the noise of a reading.
//
// # How it is used
//
//	choice, err := wander.Choose(units, wander.Options{}) // straight or wandering, by AICc
//	model := choice.Best()
//	forecast := model.Forecast(i)            // of unit i, from its last reading on
//	forecast := model.ForecastAs(i, laws)    // the same, where more is known of how units drift
//	path := forecast.Draw(rng)               // one way in which it may go on
//	age, crossed := path.FirstPassage(limit, wander.Above, 500) // cast by cast
//	age, crossed = path.Passage(0.5, 500)    // the same law for a constant limit, at one go
//	paths := forecast.Sample(400, rng)       // so many ways, more even than single draws
//
// # How it is computed
//
// Given σ² and q, the wandering of a unit has one state, and a Kalman filter over
// three columns (ones, age, what is left of the values after the unit's own least
// squares line) gives A, u and log|V| with
//
//	[1 n]' V⁻¹ [1 n] = A'A,   [1 n]' V⁻¹ y = A'u,   C = I + A G A'
//
// for the covariance V of the unit's readings given a and b, and G that of (a, b)
// across units. So an evaluation of the likelihood costs one pass over the
// readings, means α and β are found by generalised least squares with terms that
// add up, any of q, s_a, s_b may be 0, and q = 0 gives the mixed model's
// criterion to the digit.
//
// What the filter gives hangs on q/σ² but for factors, so that most steps of a
// search need no pass over the readings. Spreads are estimated on the scale of
// their logarithms by BFGS, from the best two of ten places, with many readings
// those of some units first; one that may as well be 0 is put to 0. An estimate of 0
// does not mean that it is known to be 0: forecasts average over Points, places
// of the posterior of the spreads by importance sampling, with the means
// integrated out at each. That is what keeps intervals wide enough with few
// units.
//
// Sources: de Jong (1991), "The diffuse Kalman filter", Ann. Stat. 19; Durbin &
// Koopman (2012), Time Series Analysis by State Space Methods, chapters 4 to 7;
// Whitmore & Schenkelberg (1997), "Modelling accelerated degradation data using
// Wiener diffusion with a time scale transformation", Lifetime Data Anal. 3.
package wander
