// Package logistic fits the chance of an event as a logistic function of
// covariates and of a random intercept for each unit, by the Laplace
// approximation to the marginal likelihood.
//
// # The model
//
//	logit P(event in row r of unit i) = x_r' β + b_i,   b_i ~ N(0, s²)
//
// # How it is used
//
//	model, err := logistic.Fit(rows, units, logistic.Options{Fixed: beliefs, Spread: logistic.HalfNormal{Scale: 1}})
//	p := model.Chance(unit, x)           // posterior mean; unit −1: a unit not seen
//	drawn := model.Draw(rng)             // β, s and all b_i from their joint posterior
//	p = drawn.Chance(unit, x)
//
// # How it is computed
//
// Each unit's b_i is integrated out by Laplace's approximation about its mode,
// with the gradient of the result in closed form; β and s are then maximised
// together by BFGS and Newton's method, as lme4's glmer does with nAGQ = 1 (Bates,
// Mächler, Bolker & Walker 2015, J. Stat. Softw. 67(1)). The likelihood is even in
// s, so that s = 0 is no boundary. Beliefs (normal on β, half-normal on s) keep
// the answer finite where events are absent or parted from the rest by a
// covariate; Model.PriorWeight and Model.Warnings say how much it rests on them.
//
// Draws come from places of the posterior of β and log s by importance sampling,
// and at each from the units' conditional laws with their skewness.
package logistic
