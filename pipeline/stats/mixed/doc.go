// Package mixed fits linear mixed models with one grouping factor by
// restricted (REML) or ordinary (ML) maximum likelihood.
//
// # The model
//
// For the rows of group g,
//
//	y = X β + Z b_g + ε,   b_g ~ N(0, G),   ε ~ N(0, σ²/w)
//
// with p fixed effects β, q = 1..3 random effects b_g with an unstructured
// q×q covariance G = σ² Λ Λ', and a positive weight w for each row. Λ(θ) is the
// relative Cholesky factor: lower triangular, its diagonal not negative, θ its
// entries column by column. Groups are independent of each other.
//
// # How it is computed
//
// Sums reads each row once and keeps, for each group, the triangular factor of
// the cross-products of √w·[Z X y] (Givens rotations, so that the condition
// number of the data is not squared, as it would be by the cross-products
// themselves). With the factor of one group cut into blocks
//
//	[ A  U ]   q rows: what Z explains, U = [Ux uy]
//	[ 0  Q ]   p+1 rows: what it does not
//
// the rows of U have covariance σ²C, C = I + A Λ Λ' A', and those of Q have σ²I.
// So an evaluation of the criterion costs groups, not rows, and adds positive
// terms only:
//
//	S(θ) = Σ Q'Q + Σ U' C⁻¹ U   (bordered: Sxx, sxy, syy)
//	β = Sxx⁻¹ sxy,   rss = syy − sxy' β
//	ML:   Σ log|C| + n (1 + log(2π rss/n)) − Σ log w
//	REML: Σ log|C| + log|Sxx| + (n−p) (1 + log(2π rss/(n−p))) − Σ log w
//
// which is the profiled criterion of Bates, Mächler, Bolker & Walker (2015),
// "Fitting linear mixed-effects models using lme4", J. Stat. Softw. 67(1), by
// another road. Its derivative with respect to the
// relative covariance ΛΛ' is
//
//	M = Σ A' C⁻¹ A − [Σ A' C⁻¹ Ux Sxx⁻¹ Ux' C⁻¹ A]REML − (ν/rss) Σ h h',
//	h = A' C⁻¹ (uy − Ux β),   ν = n − p (REML) or n (ML)
//
// and with respect to Λ it is 2 M Λ. M also says whether an optimum on the
// boundary (a singular G) is one: M G = 0 and M has no negative eigenvalue.
//
// Inside, columns of X and Z are made orthonormal and y is replaced by its
// scaled residual from least squares, so that units and origins of columns
// affect neither the digits nor the path of the optimiser.
//
// With 20,000 groups, q = 2 and p = 4 an evaluation with its derivative takes
// about 2 ms and a fit some sixteen of them. `go run ./fixtures/trials speed`
// times a fit beside lmer's.
//
// Numbers that are not defined (for example the correlation with a random
// effect whose standard deviation is 0) are NaN, and each place says when.
package mixed
