package life

import (
	"math"
	"math/rand/v2"

	"moldwright/pipeline/stats/wander"
	"moldwright/pipeline/wall"
)

// limit is when a form's mold is too slow: a wet wall in mm within a dwell in min.
type limit struct {
	wallMM   float64
	dwellMin float64
}

// drawer draws paths of one mold from the posterior.
type drawer struct {
	age      float64
	casts    int // that were measured
	readings *readings
	forecast *wander.Forecast // by its readings
	joint    wall.Drawer      // of a mold whose own wear is not in the model
	lim      limit
	fresh    *wander.Forecast // of a mold yet to be made; its course is one of joint
}

// way is one draw of a mold's path to its limit.
type way struct {
	path   wander.Path // at today's age
	course wall.Course
	lim    limit
}

// room is what is used again from mold to mold.
type room struct {
	paths  []wander.Path
	ways   []way
	until  []int // by way, as the rest but the last
	habit  []int
	weight []float64
	over   []bool
	passes [shareSteps][]float64 // by step of the share, then casts
}

// sized is memory for n things, that which there is where it suffices. What stands in
// it is left.
func sized[T any](had []T, n int) []T {
	if cap(had) < n {
		return make([]T, n)
	}
	return had[:n]
}

// draws are so many ways that the mold may go. They hold until the room is used again.
func (d *drawer) draws(count int, rng *rand.Rand, in *room) []way {
	in.ways = sized(in.ways, count)
	out := in.ways
	if d.readings != nil {
		in.paths = sized(in.paths, count)
		for i, p := range d.forecast.SampleInto(in.paths, rng) {
			p.To(max(d.age, p.Age))
			out[i] = way{path: p, course: d.readings.course, lim: d.lim}
		}
		return out
	}
	for i := range out {
		c := d.joint.Draw(rng)
		out[i] = way{path: straightOn(c, d.lim, d.age), course: c, lim: d.lim}
		if d.fresh != nil {
			out[i].path = d.fresh.Draw(rng)
		}
	}
	return out
}

// straightOn is the path of a course.
func straightOn(c wall.Course, lim limit, age float64) wander.Path {
	fresh, rate := c.Margin(lim.wallMM, lim.dwellMin)
	return wander.Path{Age: age, Start: -fresh, Level: rate*age - fresh, Drift: rate}
}

// end is where the path ends for a limit of exp(shift) times the longest dwell
// on file: 0 for that on file.
func (w way) end(shift float64) float64 {
	if shift == 0 {
		return 0
	}
	fresh, _ := w.course.Margin(w.lim.wallMM, w.lim.dwellMin)
	more, _ := w.course.Margin(w.lim.wallMM, w.lim.dwellMin*math.Exp(shift))
	return more - fresh
}

// crossed is the first age at which the path is beyond its end, of those up to
// today's, between which it is taken as straight; later where it is not.
func (w way) crossed(end float64) float64 {
	perCast := w.path.Drift
	if w.path.Age > 0 {
		perCast = (w.path.Level - w.path.Start) / w.path.Age
	}
	left := end - w.path.Start
	switch {
	case left < 0:
		return 0
	case perCast <= 0:
		return math.Inf(1)
	}
	return math.Floor(left/perCast) + 1
}

// crosses is the first age from today's on, at most last, at which the path is
// beyond its end; last + 1 where it is not.
func (w way) crosses(end, last float64) float64 {
	if at, ok := w.path.Passage(end, last); ok {
		return at
	}
	return last + 1
}
