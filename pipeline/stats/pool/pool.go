// Package pool estimates the means of groups of which some are small: each
// leans on the mean of all by what both are worth.
package pool

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Estimate is a group's mean after pooling, with an interval.
type Estimate struct {
	Mean, SD     float64
	Lower, Upper float64
}

// nodes of the integral over the spread of groups.
const nodes = 200

// Means pools the groups' own means, which have the variances given. The true
// means are normal about an unknown one with standard deviation τ:
//
//	mean_g ~ N(θ_g, variance_g),   θ_g ~ N(μ, τ²)
//
// with a flat prior on μ and a half-Cauchy prior of the scale given on τ
// (Gelman 2006, Bayesian Analysis 1, 515-534; from memory), over which the
// estimates are integrated: a single value of τ, such as that of restricted
// maximum likelihood, is often 0 and would make all groups alike. With
// B = τ²/(τ² + variance_g) and μ̂, V the weighted mean at τ and its variance,
//
//	E[θ_g | τ] = μ̂ + B·(mean_g − μ̂),   Var[θ_g | τ] = B·variance_g + (1 − B)²·V
//
// The intervals hold the probability given, in (0, 1). It panics where lengths
// differ, or a variance or the scale is not above 0.
func Means(means, variances []float64, scale, probability float64) []Estimate {
	if len(means) != len(variances) {
		panic("pool: means and variances differ in length")
	}
	if !(scale > 0) || slices.ContainsFunc(variances, func(v float64) bool { return !(v > 0) }) {
		panic("pool: a variance or the scale is not above 0")
	}
	if len(means) == 0 {
		return nil
	}
	taus, weights := make([]float64, nodes), make([]float64, nodes)
	most := math.Inf(-1)
	for i := range taus {
		// Equal steps of the prior's distribution function.
		taus[i] = scale * math.Tan(math.Pi/2*(float64(i)+0.5)/nodes)
		weights[i] = at(means, variances, taus[i]).logLikelihood
		most = max(most, weights[i])
	}
	var sum float64
	for i, w := range weights {
		weights[i] = math.Exp(w - most)
		sum += weights[i]
	}
	out := make([]mixture, len(means))
	for i, tau := range taus {
		if weights[i] < 1e-9*sum {
			continue
		}
		c := at(means, variances, tau)
		for g := range means {
			m, sd := c.group(means[g], variances[g])
			out[g] = append(out[g], normal{weights[i] / sum, m, sd})
		}
	}
	estimates := make([]Estimate, len(means))
	for g, m := range out {
		estimates[g] = m.estimate(probability)
	}
	return estimates
}

// common is what is known of μ at one τ.
type common struct {
	tau, mean, variance, logLikelihood float64
}

// at is the restricted likelihood of τ (up to a constant) and the mean of all there.
func at(means, variances []float64, tau float64) common {
	var sum, weighted, logs float64
	for g, y := range means {
		v := variances[g] + tau*tau
		sum += 1 / v
		weighted += y / v
		logs += math.Log(v)
	}
	c := common{tau: tau, mean: weighted / sum, variance: 1 / sum}
	var squares float64
	for g, y := range means {
		squares += (y - c.mean) * (y - c.mean) / (variances[g] + tau*tau)
	}
	c.logLikelihood = -(logs + math.Log(sum) + squares) / 2
	return c
}

// group is the mean and standard deviation of a group's θ at this τ.
func (c common) group(mean, variance float64) (m, sd float64) {
	b := c.tau * c.tau / (c.tau*c.tau + variance)
	return c.mean + b*(mean-c.mean), math.Sqrt(b*variance + (1-b)*(1-b)*c.variance)
}

type normal struct{ weight, mean, sd float64 }

// mixture of normals whose weights sum to 1.
type mixture []normal

func (m mixture) estimate(probability float64) Estimate {
	var e Estimate
	low, high := math.Inf(1), math.Inf(-1)
	for _, n := range m {
		e.Mean += n.weight * n.mean
		low, high = min(low, n.mean-8*n.sd), max(high, n.mean+8*n.sd)
	}
	var variance float64
	for _, n := range m {
		variance += n.weight * (n.sd*n.sd + (n.mean-e.Mean)*(n.mean-e.Mean))
	}
	e.SD = math.Sqrt(variance)
	e.Lower, e.Upper = m.quantile((1-probability)/2, low, high), m.quantile((1+probability)/2, low, high)
	return e
}

// quantile halves where it lies between low and high 45 times. What is surely below
// and above it is found by a few steps of Newton's rule first, so that most halvings
// need no look at the mixture.
func (m mixture) quantile(p, low, high float64) float64 {
	below, above := m.about(p, low, high)
	for range 45 {
		x := low + (high-low)/2
		if x <= below || x < above && m.cdf(x) < p {
			low = x
		} else {
			high = x
		}
	}
	return low + (high-low)/2
}

// about is a narrow stretch that holds the quantile between low and high, at the ends
// of which the distribution function differs from p by far more than rounding.
func (m mixture) about(p, low, high float64) (below, above float64) {
	const steps, clear = 6, 1e-11
	x := low + (high-low)/2
	reach := math.Inf(1)
	for range steps {
		f, slope := m.cdf(x), 0.0
		for _, n := range m {
			z := (x - n.mean) / n.sd
			slope += n.weight / n.sd * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
		}
		step := (p - f) / slope
		if !(math.Abs(step) < high-low) {
			return low, high // too flat here
		}
		x = min(max(x+step, low), high)
		reach = max(1e-9*(high-low), 10*math.Abs(step)*math.Abs(step)/(high-low))
		if reach < 1e-8*(high-low) {
			break
		}
	}
	if below = x - reach; !(m.cdf(below) < p-clear) {
		below = low
	}
	if above = x + reach; !(m.cdf(above) > p+clear) {
		above = high
	}
	return below, above
}

func (m mixture) cdf(x float64) float64 {
	var f float64
	for _, n := range m {
		f += n.weight * distuv.UnitNormal.CDF((x-n.mean)/n.sd)
	}
	return f
}
