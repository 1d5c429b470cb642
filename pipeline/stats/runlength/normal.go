package runlength

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// The chart is S = max(0, S + z - k) from S = 0, for independent z with
// standard deviation 1, and it signals when S exceeds h.

const (
	// reach is how many standard deviations an observation is taken to stray
	// at most: the chance of more is 10^-32.
	reach = 12
	// mostLimit keeps the work bounded; charts in use have limits near 5.
	mostLimit = 1000
)

// ARL is the average number of observations until the one-sided upper normal
// CUSUM with reference value k and limit h, both in standard deviations,
// signals when the mean of the observations is shift, likewise. It is NaN for
// values that are not numbers and for h outside [0, 1000], and +Inf beyond the
// range of floating point numbers.
//
// With Φ and φ the standard normal distribution and density, the run length
// L(s) from sum s solves
//
//	L(s) = 1 + L(0) Φ(k-s-shift) + integral over x from 0 to h of L(x) φ(x+k-s-shift)
//
// (Page, Biometrika 41, 1954), here with Gauss-Legendre nodes in place of the
// integral (Goel & Wu, Technometrics 13, 1971; Vance, J. Qual. Technol. 18,
// 1986), right to about twelve digits.
func ARL(k, h, shift float64) float64 {
	if math.IsNaN(k-shift) || math.IsInf(k-shift, 0) || !(h >= 0 && h <= mostLimit) {
		return math.NaN()
	}
	drift := k - shift
	if h == 0 {
		return 1 / below(-drift)
	}
	// State 0 is the sum 0, the others are the nodes.
	x, weight := nodes(h)
	n := len(x) - 1

	down := farthest(x, reach+drift)
	up := farthest(x, reach-drift)
	c := newChain(n+1, down, up)
	for i, from := range x {
		c.add(i, max(0, i-c.down), below(drift-from)) // to 0, or as near as the band goes: negligible
		for j := max(1, i-c.down); j <= min(n, i+c.up); j++ {
			c.add(i, j, weight[j]*density(x[j]+drift-from))
		}
		c.signal[i] = below(from - h - drift)
	}
	return c.meanSteps()
}

// nodes are the points at which the run length is solved for, ascending, and
// their weights in the integral from 0 to h; the first point is 0, of weight 0.
// High limits are cut into pieces, for on one long piece the nodes crowd at the
// ends and widen the band.
func nodes(h float64) (x, weight []float64) {
	const longest = 10
	pieces := int(math.Ceil(h / longest))
	length := h / float64(pieces)
	each := 24 + int(math.Ceil(3*length))
	x, weight = make([]float64, 1+pieces*each), make([]float64, 1+pieces*each)
	for p := range pieces {
		from, to := 1+p*each, 1+(p+1)*each
		quad.Legendre{}.FixedLocations(x[from:to], weight[from:to], float64(p)*length, float64(p+1)*length)
		if x[from] > x[to-1] { // gonum gives them falling
			slices.Reverse(x[from:to])
			slices.Reverse(weight[from:to])
		}
	}
	return x, weight
}

// farthest is the largest number of places between two of the ascending x that
// are less than the distance apart, at least 1.
func farthest(x []float64, distance float64) int {
	most, low := 1, 0
	for high := range x {
		for low < high && x[high]-x[low] > distance {
			low++
		}
		most = max(most, high-low)
	}
	return most
}

// Limit is the h, to nine digits, with which the chart of [ARL] has the given
// average run length while nothing has changed, that is at shift 0.
//
// It returns an error, saying what to change, where there is none: for a k
// outside [0, 5], for a run length that even a limit of 0 exceeds, and for one
// beyond limits of 1000.
func Limit(k, inControlARL float64) (float64, error) {
	switch {
	case !(k >= 0 && k <= 5):
		return 0, fmt.Errorf("the reference value %g is outside 0 to 5 standard deviations; 0.5 is usual", k)
	case !(inControlARL >= 1) || math.IsInf(inControlARL, 1):
		return 0, fmt.Errorf("the average run length %g between false alarms must be a number of at least 1", inControlARL)
	}
	if shortest := ARL(k, 0, 0); inControlARL < shortest {
		return 0, fmt.Errorf("with reference value %g the average run between false alarms cannot be as short as %g: "+
			"ask for %.4g or more, or for a smaller reference value", k, inControlARL, shortest)
	}
	// log ARL is nearly straight in h, so false position gets there in a few
	// steps; over tells by how much it is too long at h.
	over := func(h float64) float64 { return math.Log(ARL(k, h, 0)) - math.Log(inControlARL) }
	low, high := 0.0, 1.0
	for over(high) < 0 {
		if high == mostLimit {
			return 0, fmt.Errorf("with reference value %g an average run of %g between false alarms needs a limit above %d: "+
				"ask for a shorter run, or for a larger reference value", k, inControlARL, mostLimit)
		}
		low, high = high, min(2*high, mostLimit)
	}
	return falsePosition(over, low, high), nil
}

// falsePosition finds where a rising f, at most 0 at low and at least 0 at
// high, is 0, by the Illinois rule (Dowell & Jarratt, BIT 11, 1971).
func falsePosition(f func(float64) float64, low, high float64) float64 {
	fLow, fHigh := f(low), f(high)
	for side := 0; high-low > 1e-11*(1+high); {
		at := high - fHigh*(high-low)/(fHigh-fLow)
		if !(at > low && at < high) {
			at = low + (high-low)/2
		}
		v := f(at)
		if math.Abs(v) < 1e-12 {
			return at
		}
		if v < 0 {
			low, fLow = at, v
			if side == -1 {
				fHigh /= 2
			}
			side = -1
		} else {
			high, fHigh = at, v
			if side == 1 {
				fLow /= 2
			}
			side = 1
		}
	}
	return low + (high-low)/2
}

// below is Φ, with its digits in the lower tail.
func below(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
