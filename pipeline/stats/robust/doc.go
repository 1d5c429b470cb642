// Package robust keeps a few wrong numbers from leading a fit: rows far from
// the fit, in units of a scale that the far rows do not set, get less weight,
// and the fit is repeated until the weights stand still.
//
// # The estimate
//
// With residuals r_i(β) and scale s = median|r|·1.4826, β solves
//
//	Σ w(r_i/s) r_i ∂r_i/∂β = 0
//
// an M-estimate (Huber & Ronchetti 2009, Robust Statistics, 2nd ed., ch. 7),
// found by iteratively reweighted least squares. The weight function w says
// what far means: Huber's never forgets a row, the clipped one does (it
// redescends), so that its outcome can depend on the first fit.
//
// The package fits nothing itself: the caller's function does, with any model
// that takes a weight for each row.
package robust
