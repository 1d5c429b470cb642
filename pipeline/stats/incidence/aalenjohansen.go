package incidence

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// Step is the estimate at an age at which units ended.
type Step struct {
	Age        float64
	AtRisk     int       // units in view just before
	Ended      []int     // by cause, the first cause at index 0
	Survival   float64   // chance that no cause has struck, Age included
	SurvivalSE float64   // its standard error
	Incidence  []float64 // chance that each cause has struck first, Age included
	StdErr     []float64 // their standard errors
}

// Curve is the estimate as a step function; between steps it is constant.
type Curve struct {
	Causes int
	Steps  []Step // by age, one for each age at which a unit ended
}

// AalenJohansen estimates the cumulative incidence of causes 1 … causes. Ages
// at which some end and others leave or come into view count those that leave as
// at risk and those that come as not.
//
// With left truncation the first few ages may have hardly a unit in view; where
// all of them end, survival is 0 from there on. Units can be made conditional on
// a greater age by raising their Entry to it.
func AalenJohansen(units []Unit, causes int) (*Curve, error) {
	if causes < 1 {
		panic("incidence: no causes")
	}
	if len(units) == 0 {
		return nil, fmt.Errorf("cumulative incidence: no units")
	}
	for i := range units {
		if err := units[i].check(causes); err != nil {
			return nil, fmt.Errorf("cumulative incidence: unit %d of %d cannot be used: %w", i+1, len(units), err)
		}
	}
	entries, exits := make([]float64, len(units)), slices.Clone(units)
	for i := range units {
		entries[i] = units[i].Entry
	}
	slices.Sort(entries)
	slices.SortFunc(exits, func(a, b Unit) int {
		switch {
		case a.Exit < b.Exit:
			return -1
		case a.Exit > b.Exit:
			return 1
		}
		return a.Cause - b.Cause
	})
	c := &Curve{Causes: causes}
	s := newState(causes)
	came, left := 0, 0
	for left < len(exits) {
		age := exits[left].Exit
		for came < len(entries) && entries[came] < age {
			came++
		}
		atRisk := came - left
		ended := make([]int, causes)
		some := false
		for left < len(exits) && exits[left].Exit == age {
			if k := exits[left].Cause; k > 0 {
				ended[k-1]++
				some = true
			}
			left++
		}
		if some {
			s.move(float64(atRisk), ended)
			c.Steps = append(c.Steps, s.step(age, atRisk, ended))
		}
	}
	return c, nil
}

// state is survival and incidences with their covariances: of survival with
// itself and with each incidence, and of each incidence with itself.
type state struct {
	survival  float64
	incidence []float64
	vs        float64
	vsf, vf   []float64
}

func newState(causes int) *state {
	return &state{survival: 1, incidence: make([]float64, causes), vsf: make([]float64, causes), vf: make([]float64, causes)}
}

// move goes past an age at which units of n at risk ended. Every term added to a
// variance is positive, so that no digits are lost.
func (s *state) move(n float64, ended []int) {
	all := 0.0
	for _, d := range ended {
		all += float64(d) / n
	}
	add := s.survival * s.survival / n
	for k, d := range ended {
		a := float64(d) / n
		s.vf[k] += 2*a*s.vsf[k] + a*a*s.vs + add*a*(1-a)
		s.vsf[k] = (1-all)*(s.vsf[k]+a*s.vs) - add*a*(1-all)
		s.incidence[k] += s.survival * a
	}
	s.vs = (1-all)*(1-all)*s.vs + add*all*(1-all)
	s.survival *= 1 - all
}

func (s *state) step(age float64, atRisk int, ended []int) Step {
	out := Step{
		Age: age, AtRisk: atRisk, Ended: ended, Survival: s.survival, SurvivalSE: math.Sqrt(max(0, s.vs)),
		Incidence: slices.Clone(s.incidence), StdErr: make([]float64, len(ended)),
	}
	for k, v := range s.vf {
		out.StdErr[k] = math.Sqrt(max(0, v))
	}
	return out
}

// At is the estimate at an age: the last step at or before it, or survival 1
// before the first.
func (c *Curve) At(age float64) Step {
	i := sort.Search(len(c.Steps), func(i int) bool { return c.Steps[i].Age > age })
	if i == 0 {
		return Step{Age: age, Survival: 1, Ended: make([]int, c.Causes), Incidence: make([]float64, c.Causes), StdErr: make([]float64, c.Causes)}
	}
	return c.Steps[i-1]
}

// Interval is a confidence interval of the incidence of a cause, 1 or more, at
// an age, on the scale of log(−log) so that it stays between 0 and 1; z is the
// normal quantile, for example 1.96. It is [0, 0] while the incidence is 0 and
// [0, 1] where nothing tells more.
func (c *Curve) Interval(cause int, age, z float64) (low, high float64) {
	s := c.At(age)
	f, se := s.Incidence[cause-1], s.StdErr[cause-1]
	switch {
	case f <= 0:
		return 0, 0
	case f >= 1 || se == 0:
		return 0, 1
	}
	l := math.Log(-math.Log(f))
	w := z * se / (f * -math.Log(f))
	return math.Exp(-math.Exp(l + w)), math.Exp(-math.Exp(l - w))
}
