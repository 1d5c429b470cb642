package runlength

import (
	"fmt"
	"math"
)

// Bernoulli is the chart of Reynolds & Stoumbos (J. Qual. Technol. 31, 1999)
// for events that happen or not. With each observation the sum
//
//	S = max(0, S + Up)    if the event happened
//	S = max(0, S - Down)  if not
//
// starting from 0, and the chart signals when S reaches a limit. The log
// likelihood ratio of chance P1 against P0 is proportional to X - gamma, with
// X 1 if the event happened and otherwise 0, and
//
//	gamma = r1/r2,  r1 = log((1-P0)/(1-P1)),  r2 = log(P1 (1-P0) / (P0 (1-P1)))
//
// Up and Down are whole numbers, Down/(Up+Down) being the simplest fraction
// within 1 % of gamma, so that the sum walks on whole numbers and run lengths
// are exact.
type Bernoulli struct {
	P0, P1   float64 // chance of the event in control, and the one to notice
	Up, Down int
}

const (
	leastChance = 1e-3 // below this the chains get too large
	leastRise   = 1e-6 // below this gamma drowns in rounding
	gammaError  = 0.01 // relative to the smaller of gamma and 1-gamma
	mostStates  = 1 << 14
)

// NewBernoulli is the chart that notices a rise from chance p0 to p1 soonest.
// It returns an error unless 0.001 <= p0 < p1 <= 0.999,
// with p1 at least a millionth above p0.
func NewBernoulli(p0, p1 float64) (Bernoulli, error) {
	switch {
	case !(p0 >= leastChance && p0 <= 1-leastChance):
		return Bernoulli{}, fmt.Errorf("the chance of an event in control, %g, is outside %g to %g", p0, leastChance, 1-leastChance)
	case !(p1-p0 >= leastRise && p1 <= 1-leastChance):
		return Bernoulli{}, fmt.Errorf("the chance to notice, %g, must be above that in control, %g, and at most %g", p1, p0, 1-leastChance)
	}
	gamma := bernoulliGamma(p0, p1)
	for steps := 2; ; steps++ {
		down := math.Round(gamma * float64(steps))
		off := math.Abs(down/float64(steps) - gamma)
		if off <= gammaError*min(gamma, 1-gamma) {
			return Bernoulli{P0: p0, P1: p1, Up: steps - int(down), Down: int(down)}, nil
		}
	}
}

func bernoulliGamma(p0, p1 float64) float64 {
	r1 := math.Log1p(-p0) - math.Log1p(-p1)
	return r1 / (r1 + math.Log(p1) - math.Log(p0))
}

// Step is the sum after one more observation.
func (b Bernoulli) Step(sum int, happened bool) int {
	if happened {
		return sum + b.Up
	}
	return max(0, sum-b.Down)
}

// ANSS is the average number of observations until the sum, from 0, reaches
// the limit when the chance of the event is p. It is NaN unless p is in (0,1]
// and the limit from 1 to 16384.
func (b Bernoulli) ANSS(p float64, limit int) float64 {
	if !(p > 0 && p <= 1) || limit < 1 || limit > mostStates {
		return math.NaN()
	}
	c := newChain(limit, b.Down, b.Up)
	for sum := range limit {
		if up := b.Step(sum, true); up < limit {
			c.add(sum, up, p)
		} else {
			c.signal[sum] = p
		}
		c.add(sum, b.Step(sum, false), 1-p)
	}
	return c.meanSteps()
}

// Limit is the smallest limit with which the average number of observations to
// a false alarm is at least inControl, and the average it has. The sum moves
// in whole steps, so the average may be well above what was asked for.
func (b Bernoulli) Limit(inControl float64) (limit int, anss float64, err error) {
	if !(inControl >= 1) || math.IsInf(inControl, 1) {
		return 0, 0, fmt.Errorf("the average number of observations %g between false alarms must be a number of at least 1", inControl)
	}
	low, high := 0, b.Up // low is too small, high is tried
	for b.ANSS(b.P0, high) < inControl {
		if high == mostStates {
			return 0, 0, fmt.Errorf("an average of %g observations between false alarms is out of reach "+
				"for a rise from %g to %g: ask for fewer, or for a larger rise", inControl, b.P0, b.P1)
		}
		low, high = high, min(2*high, mostStates)
	}
	for high-low > 1 {
		middle := (low + high) / 2
		if b.ANSS(b.P0, middle) < inControl {
			low = middle
		} else {
			high = middle
		}
	}
	return high, b.ANSS(b.P0, high), nil
}
