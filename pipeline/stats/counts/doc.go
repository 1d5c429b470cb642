// Package counts fits log-linear models of counts, Poisson or negative binomial,
// with an offset for exposure and normal beliefs on the coefficients.
//
// # The model
//
//	y_i ~ NegBin(μ_i, θ),   log μ_i = offset_i + x_i' β,   Var[y_i] = μ_i + μ_i²/θ
//
// A θ of +Inf is Poisson. A belief on β_j is normal about 0 with a standard
// deviation; +Inf for none.
//
// # How it is used
//
//	fit, err := counts.Poisson(data)
//	fit, err := counts.NegativeBinomial(data)     // θ by maximum likelihood
//	fit, err := counts.WithSpread(data, theta)    // θ given
//	law := counts.Law{Mean: 12, Size: fit.Theta}
//	p := law.CDF(15)
//
// # How it is computed
//
// β by Fisher's scoring with halved steps (McCullagh & Nelder 1989, Generalized
// Linear Models; from memory), θ as the root of the score of its profile
// likelihood, as glm.nb of R's MASS has it (Venables & Ripley 2002, Modern
// Applied Statistics with S). Standard errors come from the expected information.
package counts
