package counts

import "math"

// Bounds of log θ: a spread of a thousandfold, and one that no data can tell
// from Poisson.
const (
	leastLogTheta = -7.0
	mostLogTheta  = 14.0
)

// NegativeBinomial fits β and θ by maximum likelihood, with beliefs on β where
// they are given. Where the counts scatter no more than Poisson's, θ is +Inf and
// the fit is Poisson's, with one unknown more.
//
// The slope of the profile likelihood in θ is the partial slope at the fitted β:
//
//	Σ ψ(y+θ) − ψ(θ) − log(1 + μ/θ) + (μ − y)/(μ + θ)
func NegativeBinomial(d Data) (Fit, error) {
	if err := d.check(); err != nil {
		return Fit{}, err
	}
	fit, err := d.score(d.start(), math.Inf(1))
	if err != nil {
		return Fit{}, err
	}
	low, high := leastLogTheta, mostLogTheta
	at := func(logTheta float64) (float64, error) {
		fit, err = d.score(append([]float64(nil), fit.Beta...), math.Exp(logTheta))
		if err != nil {
			return 0, err
		}
		return d.thetaSlope(d.means(fit.Beta), fit.Theta), nil
	}
	if s, err := at(high); err != nil || s >= 0 {
		fit, err = d.score(append([]float64(nil), fit.Beta...), math.Inf(1))
		fit.Unknowns++
		return fit, err
	}
	for high-low > 1e-13*(1+math.Abs(low)) {
		middle := low + (high-low)/2
		if middle == low || middle == high {
			break
		}
		s, err := at(middle)
		if err != nil {
			return Fit{}, err
		}
		if s > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	fit.Unknowns++
	fit.ThetaSE = 1 / math.Sqrt(d.thetaInformation(d.means(fit.Beta), fit.Theta))
	return fit, nil
}

func (d Data) thetaSlope(mu []float64, theta float64) float64 {
	var sum float64
	for i, y := range d.Y {
		sum += risingSlope(theta, y) - math.Log1p(mu[i]/theta) + (mu[i]-y)/(mu[i]+theta)
	}
	return sum
}

// thetaInformation is the observed information of θ at fixed means.
func (d Data) thetaInformation(mu []float64, theta float64) float64 {
	var sum float64
	for i, y := range d.Y {
		m := mu[i] + theta
		sum += risingBend(theta, y) - 1/theta + 2/m - (y+theta)/(m*m)
	}
	return sum
}
