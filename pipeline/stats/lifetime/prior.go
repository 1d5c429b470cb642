package lifetime

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Prior is what is believed of shape and scale before any unit is seen, each
// by itself. The zero Prior believes nothing.
type Prior struct {
	Shape LogNormal
	Scale LogNormal
}

// LogNormal is a belief about a positive number whose logarithm is normal.
// An SDLog of 0 means no belief.
type LogNormal struct {
	Median float64
	SDLog  float64 // standard deviation of the natural logarithm
}

// Between is the belief that puts the given share, in (0,1), for example 0.9,
// between low and high, with as much below as above. It panics unless
// 0 < low < high and the share is in (0,1).
func Between(low, high, share float64) LogNormal {
	if !(low > 0 && high > low) || math.IsInf(high, 1) {
		panic(fmt.Sprintf("lifetime: no belief lies between %g and %g", low, high))
	}
	spread := math.Log(high) - math.Log(low)
	return LogNormal{
		Median: math.Exp(math.Log(low) + spread/2),
		SDLog:  spread / (2 * normalTail(share)),
	}
}

func (b LogNormal) check(what string) error {
	switch {
	case b.SDLog == 0:
		return nil
	case !(b.SDLog > 0) || math.IsInf(b.SDLog, 1):
		return fmt.Errorf("the spread of the prior for the %s is %g, it must be a positive number", what, b.SDLog)
	case !(b.Median > 0) || math.IsInf(b.Median, 1):
		return fmt.Errorf("the median of the prior for the %s is %g, it must be a positive number", what, b.Median)
	}
	return nil
}

// normal is a belief as the likelihood uses it: mean and precision of a log.
type normal struct {
	mean      float64
	precision float64 // 0: no belief
}

func (b LogNormal) onLog() normal {
	if b.SDLog == 0 {
		return normal{}
	}
	return normal{mean: math.Log(b.Median), precision: 1 / (b.SDLog * b.SDLog)}
}

func (n normal) logDensity(x float64) float64 { // but for a constant
	if n.precision == 0 {
		return 0
	}
	return -n.precision * (x - n.mean) * (x - n.mean) / 2
}

// normalTail is the z with the given share of a standard normal between -z
// and z. It panics unless the share is in (0,1).
func normalTail(share float64) float64 {
	if !(share > 0 && share < 1) {
		panic(fmt.Sprintf("lifetime: share %g is not between 0 and 1", share))
	}
	return distuv.UnitNormal.Quantile((1 + share) / 2)
}
