package counts

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// Fit is a fitted model.
type Fit struct {
	Beta     []float64
	Cov      *mat.SymDense // of Beta, from the expected information and the beliefs
	Theta    float64       // +Inf for Poisson
	ThetaSE  float64       // NaN where θ was given or is +Inf
	LogLik   float64       // of the counts, without beliefs
	LogMarg  float64       // Laplace's approximation to the log of the likelihood integrated over the beliefs, θ fixed; NaN without a belief on every coefficient
	Rows     int
	Unknowns int // coefficients, and θ where it was estimated
}

// AICc is Akaike's criterion with the correction for few rows (Hurvich & Tsai
// 1989, Biometrika 76; from memory), +Inf where the rows are too few for it.
func (f Fit) AICc() float64 {
	k, n := float64(f.Unknowns), float64(f.Rows)
	if n-k-1 <= 0 {
		return math.Inf(1)
	}
	return -2*f.LogLik + 2*k + 2*k*(k+1)/(n-k-1)
}

// SE is the standard error of a coefficient.
func (f Fit) SE(j int) float64 { return math.Sqrt(f.Cov.At(j, j)) }

// Poisson fits the Poisson model.
func Poisson(d Data) (Fit, error) { return WithSpread(d, math.Inf(1)) }

// WithSpread fits the model with a given θ, above 0, +Inf for Poisson.
func WithSpread(d Data, theta float64) (Fit, error) {
	if err := d.check(); err != nil {
		return Fit{}, err
	}
	return d.score(d.start(), theta)
}

// start is a first guess: every coefficient 0 but one that is constant.
func (d Data) start() []float64 {
	beta := make([]float64, len(d.X[0]))
	var y, exposure float64
	for i := range d.Y {
		y += d.Y[i]
		exposure += math.Exp(min(d.offset(i), farLog))
	}
	for j := range beta {
		constant := d.X[0][j] != 0
		for _, x := range d.X {
			constant = constant && x[j] == d.X[0][j]
		}
		if constant {
			beta[j] = math.Log((y+0.5)/exposure) / d.X[0][j]
			break
		}
	}
	return beta
}

// score climbs to the mode of likelihood times beliefs by Fisher's scoring.
func (d Data) score(beta []float64, theta float64) (Fit, error) {
	const rounds, tolerance = 200, 1e-12
	mu := d.means(beta)
	at := d.logLik(mu, theta) + d.logBelief(beta)
	var info mat.Cholesky
	for range rounds {
		slope, information := d.slopeAndInformation(beta, mu, theta)
		if !info.Factorize(information) || info.Cond() > 1e14 {
			return Fit{}, ErrNotFixed
		}
		var step mat.VecDense
		if err := info.SolveVecTo(&step, slope); err != nil {
			return Fit{}, ErrNotFixed
		}
		gain := math.Inf(-1)
		next := make([]float64, len(beta))
		for scale := 1.0; scale > 1e-9; scale /= 2 {
			for j := range beta {
				next[j] = beta[j] + scale*step.AtVec(j)
			}
			mu = d.means(next)
			if g := d.logLik(mu, theta) + d.logBelief(next) - at; g >= -1e-11*(1+math.Abs(at)) {
				gain = g
				break
			}
		}
		if math.IsInf(gain, -1) {
			break // no step is up: this is the top, to rounding
		}
		copy(beta, next)
		at += gain
		if size := mat.Norm(&step, math.Inf(1)); math.Abs(gain) < tolerance*(1+math.Abs(at)) && size < 1e-8*(1+mat.Norm(mat.NewVecDense(len(beta), beta), math.Inf(1))) {
			break
		}
	}
	return d.finish(beta, theta)
}

// slopeAndInformation are the gradient of the log posterior and the expected
// information: Σ x(y − μ)/(1 + μ/θ) and Σ x x' μ/(1 + μ/θ), beliefs added.
func (d Data) slopeAndInformation(beta, mu []float64, theta float64) (*mat.VecDense, *mat.SymDense) {
	k := len(beta)
	slope, information := mat.NewVecDense(k, nil), mat.NewSymDense(k, nil)
	for i, x := range d.X {
		down := 1 + mu[i]/theta
		rest, weight := (d.Y[i]-mu[i])/down, mu[i]/down
		for a := range k {
			if x[a] == 0 {
				continue
			}
			slope.SetVec(a, slope.AtVec(a)+x[a]*rest)
			for b := a; b < k; b++ {
				information.SetSym(a, b, information.At(a, b)+x[a]*x[b]*weight)
			}
		}
	}
	for j := range k {
		slope.SetVec(j, slope.AtVec(j)-d.precision(j)*beta[j])
		information.SetSym(j, j, information.At(j, j)+d.precision(j))
	}
	return slope, information
}

func (d Data) finish(beta []float64, theta float64) (Fit, error) {
	mu := d.means(beta)
	_, information := d.slopeAndInformation(beta, mu, theta)
	var info mat.Cholesky
	if !info.Factorize(information) {
		return Fit{}, ErrNotFixed
	}
	f := Fit{Beta: beta, Cov: mat.NewSymDense(len(beta), nil), Theta: theta, ThetaSE: math.NaN(), LogLik: d.logLik(mu, theta), Rows: len(d.Y), Unknowns: len(beta)}
	if err := info.InverseTo(f.Cov); err != nil {
		return Fit{}, ErrNotFixed
	}
	f.LogMarg = f.LogLik + d.logBelief(beta) - info.LogDet()/2
	for j := range beta {
		f.LogMarg += math.Log(d.precision(j)) / 2
	}
	if math.IsInf(f.LogMarg, 0) {
		f.LogMarg = math.NaN()
	}
	return f, nil
}

// Draw draws coefficients from the normal law about their mode.
func (f Fit) Draw(rng *rand.Rand) []float64 {
	k := len(f.Beta)
	out := append([]float64(nil), f.Beta...)
	var root mat.Cholesky
	if !root.Factorize(f.Cov) {
		return out // a variance of 0 to rounding
	}
	var lower mat.TriDense
	root.LTo(&lower)
	z := make([]float64, k)
	for j := range z {
		z[j] = rng.NormFloat64()
	}
	for i := range k {
		for j := 0; j <= i; j++ {
			out[i] += lower.At(i, j) * z[j]
		}
	}
	return out
}
