package plaster

import "math"

// Whether an observation is exact or only a bound.
type bound int

const (
	exactly bound = iota
	above         // the true value is higher
	below         // the true value is lower
)

// observation is a value of a normal variable, exact or as a bound.
type observation struct {
	value float64
	bound bound
}

// priorSpread is what is known of a variance beforehand: as much as df
// deviations of that variance would tell.
type priorSpread struct {
	variance, df float64
}

// fitCensored estimates mean and standard deviation of a normal variable by
// expectation and maximisation (Dempster, Laird, Rubin 1977, J. R. Stat. Soc. B
// 39; from memory): a bound counts with the mean and variance of the normal
// beyond it, and
//
//	mean = Σ E[x]/n,   sd² = (df·variance + Σ E[(x − mean)²])/(df + n)
//
// With df 0 that is maximum likelihood. There must be an exact observation.
func fitCensored(obs []observation, prior priorSpread) (mean, sd float64) {
	mean, sd = startOf(obs, prior)
	const rounds, tolerance = 5000, 1e-12
	for range rounds {
		var sum, squares float64
		for _, o := range obs {
			m, v := o.expected(mean, sd)
			sum += m
			squares += v + m*m
		}
		n := float64(len(obs))
		next := sum / n
		nextSD := math.Sqrt(max(0, prior.df*prior.variance+squares-n*next*next) / (prior.df + n))
		done := math.Abs(next-mean)+math.Abs(nextSD-sd) < tolerance
		mean, sd = next, nextSD
		if done || sd == 0 {
			break
		}
	}
	return mean, sd
}

func startOf(obs []observation, prior priorSpread) (mean, sd float64) {
	var sum, squares, n float64
	for _, o := range obs {
		if o.bound == exactly {
			sum += o.value
			squares += o.value * o.value
			n++
		}
	}
	mean = sum / n
	variance := (prior.df*prior.variance + squares - n*mean*mean) / (prior.df + n)
	return mean, math.Sqrt(max(variance, 1e-8))
}

// expected is the mean and the variance of the true value, given the bound.
func (o observation) expected(mean, sd float64) (m, variance float64) {
	switch o.bound {
	case above:
		a := (o.value - mean) / sd
		h := normalHazard(a)
		return mean + sd*h, sd * sd * max(0, 1+a*h-h*h)
	case below:
		a := (mean - o.value) / sd
		h := normalHazard(a)
		return mean - sd*h, sd * sd * max(0, 1+a*h-h*h)
	}
	return o.value, 0
}

// normalHazard is φ(a)/(1 − Φ(a)).
func normalHazard(a float64) float64 {
	if a > 30 { // the tail underflows; its expansion is good to 10 digits
		return a + 1/a
	}
	return math.Exp(-a*a/2) / math.Sqrt(2*math.Pi) / (0.5 * math.Erfc(a/math.Sqrt2))
}
