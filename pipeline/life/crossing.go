package life

import (
	"math"
	"math/rand/v2"

	"moldwright/pipeline/wall"
)

// path is one draw of a mold's margin: at age n it is fresh − perCast·n up to
// today, and walks from there.
type path struct {
	fresh   float64
	perCast float64
	now     float64 // margin at today's age
	ahead   float64 // steady loss with each coming cast
}

// drawer draws paths of one mold from the posterior.
type drawer struct {
	age      float64
	q        float64
	readings *readings
	ways     []way // by the kind of wear that the mold may have
	df       float64
	joint    wall.Drawer // of a mold whose own wear is not in the model
	lim      limit
}

// draw is a course, and what wandering took beside it until today.
func (d *drawer) draw(rng *rand.Rand) (wall.Course, float64) {
	if d.readings == nil {
		return d.joint.Draw(rng), 0
	}
	var z, x [states]float64
	for i := range z {
		z[i] = rng.NormFloat64()
	}
	spread := math.Sqrt(d.df / chiSquare(d.df, rng))
	u, k := rng.Float64(), 0
	for k < len(d.ways)-1 && u > d.ways[k].chance {
		u -= d.ways[k].chance
		k++
	}
	w := &d.ways[k]
	for i := range x {
		x[i] = w.mean[i]
		for k := 0; k <= i; k++ {
			x[i] += spread * w.root[i][k] * z[k]
		}
	}
	return d.readings.of.Course(x[:2]), x[2]
}

// pathOf is the path of a course with its wandering, for a limit of exp(shift) times
// the longest dwell on file. Until today the wandering is spread evenly.
func (d *drawer) pathOf(c wall.Course, walked, shift float64) path {
	fresh, rate := c.Margin(d.lim.wallMM, d.lim.dwellMin*math.Exp(shift))
	p := path{fresh: fresh, perCast: rate, now: fresh - rate*d.age - walked, ahead: rate}
	if d.age > 0 {
		p.perCast += walked / d.age
	}
	return p
}

// crossed is the first age at which the path is beyond its limit, of those up to
// today's; later where it is not.
func (p path) crossed(age float64) float64 {
	switch {
	case p.fresh < 0:
		return 0
	case p.perCast <= 0:
		return math.Inf(1)
	}
	return math.Floor(p.fresh/p.perCast) + 1
}

// crosses is the first age from today's on, at most last, at which the path is
// beyond its limit; last + 1 where it is not.
func (p path) crosses(age, last, q float64, rng *rand.Rand) float64 {
	if p.now < 0 {
		return age
	}
	if q == 0 {
		if p.ahead <= 0 {
			return last + 1
		}
		return min(last, age+math.Floor(p.now/p.ahead)) + 1
	}
	sd, m := math.Sqrt(q), p.now
	for n := age + 1; n <= last; n++ {
		m -= p.ahead + sd*rng.NormFloat64()
		if m < 0 {
			return n
		}
	}
	return last + 1
}

// chiSquare draws by the method of Marsaglia & Tsang (2000), for half the degrees
// of freedom at least ½.
func chiSquare(df float64, rng *rand.Rand) float64 {
	shape := df / 2
	boost := 1.0
	if shape < 1 {
		boost = math.Pow(1-rng.Float64(), 1/shape)
		shape++
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := rng.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v *= v * v
		if math.Log(1-rng.Float64()) < 0.5*x*x+d-d*v+d*math.Log(v) {
			return 2 * d * v * boost
		}
	}
}
