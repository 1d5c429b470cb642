package wander

import (
	"fmt"
	"math"
)

// Choice is the same readings fitted with straight and with wandering paths.
type Choice struct {
	Straight, Wandering *Model
	// Gain is AICc of the straight less that of the wandering paths: above 0
	// where the readings speak for wandering; 0 with too few readings to tell.
	Gain float64
}

// Choose fits both courses with otherwise the same options.
func Choose(units []Unit, opt Options) (Choice, error) {
	var c Choice
	var err error
	opt.Course = Straight
	if c.Straight, err = Fit(units, opt); err != nil {
		return c, fmt.Errorf("straight: %w", err)
	}
	opt.Course = Wandering
	if c.Wandering, err = Fit(units, opt); err != nil {
		return c, fmt.Errorf("wandering: %w", err)
	}
	c.Gain = Gain(c.Straight, c.Wandering)
	return c, nil
}

// Gain is AICc of straight less that of wandering paths of the same readings, as in
// Choice.
func Gain(straight, wandering *Model) float64 {
	if math.IsInf(wandering.AICc, 1) {
		return 0
	}
	return straight.AICc - wandering.AICc
}

// Best is the wandering model where Gain is above 0, or else the straight one.
func (c Choice) Best() *Model {
	if c.Gain > 0 {
		return c.Wandering
	}
	return c.Straight
}
