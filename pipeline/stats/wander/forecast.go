package wander

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
)

// State is what is known of a unit at one age: its level without noise, its
// drift, and their covariance, the uncertainty of means and spreads included.
type State struct {
	Age, Level, Drift float64
	Cov               [2][2]float64
}

// Forecast is what is known of a unit at its last reading, ready for draws. It
// holds one normal law of level and drift for each of the model's Points.
type Forecast struct {
	age   float64
	laws  []law
	upTo  []float64 // cumulative weights
	state State
}

// law is a normal law of level at age 0 and drift, how the level at the last
// reading follows from them, and how the path goes on.
type law struct {
	mean [2]float64
	root [3]float64 // lower triangular root of the covariance
	last carry
	walk float64 // q
}

// carry is the level at the last reading, given the level at age 0 and the
// drift: normal, linear in them.
type carry struct {
	level, drift, base float64
	sd                 float64
}

// Forecast is that of unit i of the fit. It needs no pass over its readings.
func (m *Model) Forecast(i int) Forecast {
	if i < 0 || i >= len(m.problem.units) {
		panic(fmt.Sprintf("wander: unit %d of %d", i, len(m.problem.units)))
	}
	return m.forecast(&m.problem.units[i], m.readings(i))
}

// Unit is the state of unit i at its last reading.
func (m *Model) Unit(i int) State { return m.Forecast(i).State() }

// State is mean and covariance of the forecast's level and drift.
func (f Forecast) State() State { return f.state }

// Draw is one way in which the unit may go on.
func (f Forecast) Draw(rng *rand.Rand) Path {
	l := &f.laws[min(sort.SearchFloat64s(f.upTo, rng.Float64()), len(f.laws)-1)]
	return l.path(f.age, rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64(), rng)
}

// path is the one at three standard normal numbers.
func (l *law) path(age, z0, z1, z2 float64, rng *rand.Rand) Path {
	p := Path{
		Age:   age,
		Start: l.mean[0] + l.root[0]*z0,
		Drift: l.mean[1] + l.root[1]*z0 + l.root[2]*z1,
		sd:    math.Sqrt(l.walk),
		rng:   rng,
	}
	p.Level = l.last.base + l.last.level*p.Start + l.last.drift*p.Drift + l.last.sd*z2
	return p
}

func (m *Model) forecast(u *unit, say func(pt *Point) whitened) Forecast {
	laws := make([]law, 0, len(m.Points))
	weights := make([]float64, 0, len(m.Points))
	d := &m.problem.designs[u.design]
	for i := range m.Points {
		pt := &m.Points[i]
		w := say(pt)
		mean, cov := m.problem.stateAt(&w, d, &pt.shape, &pt.sol, pt.means[u.design])
		laws = append(laws, m.problem.natural(u, d, &w, mean, cov, pt.Diffusion))
		weights = append(weights, pt.Weight)
	}
	return mixture(u.last*m.problem.ageScale, laws, weights)
}

// own is what is known of a unit's level at age 0 and drift, in natural units,
// given its readings, and what the readings took of the spread.
type own struct {
	mean [2]float64
	cov  [3]float64
	keep [2][2]float64 // by how much the mean moves with the prior's
}

// given is own for a normal law with mean mu and covariance g beforehand.
func (c *core) given(g *[3]float64, mu [2]float64) own {
	// E'E and its product with G: what the readings take of the spread.
	k00 := c.e[0][0]*c.e[0][0] + c.e[1][0]*c.e[1][0]
	k01 := c.e[0][0]*c.e[0][1] + c.e[1][0]*c.e[1][1]
	k11 := c.e[0][1]*c.e[0][1] + c.e[1][1]*c.e[1][1]
	gk := [2][2]float64{
		{g[0]*k00 + g[1]*k01, g[0]*k01 + g[1]*k11},
		{g[1]*k00 + g[2]*k01, g[1]*k01 + g[2]*k11},
	}
	h := [2]float64{c.e[0][0]*c.v[0] + c.e[1][0]*c.v[1], c.e[0][1]*c.v[0] + c.e[1][1]*c.v[1]}
	out := own{mean: mu}
	for i := range 2 {
		out.mean[i] += g[i]*h[0] + g[i+1]*h[1] - gk[i][0]*mu[0] - gk[i][1]*mu[1]
	}
	out.cov = [3]float64{
		g[0] - gk[0][0]*g[0] - gk[0][1]*g[1],
		g[1] - gk[0][0]*g[1] - gk[0][1]*g[2],
		g[2] - gk[1][0]*g[1] - gk[1][1]*g[2],
	}
	out.keep = [2][2]float64{{1 - gk[0][0], -gk[0][1]}, {-gk[1][0], 1 - gk[1][1]}}
	return out
}

// meanOf is the mean level and drift of a row of the designs.
func meanOf(d *design, sol *solution) (mu [2]float64) {
	for j, x := range d.level {
		mu[0] += x * sol.beta[j]
	}
	for j, x := range d.drift {
		mu[1] += x * sol.beta[len(d.level)+j]
	}
	return mu
}

// stateAt is mean and covariance (level variance, covariance, drift variance)
// of a unit's level at age 0 and its drift, given the spreads, with the means,
// of covariance mv, integrated out.
func (p *problem) stateAt(w *whitened, d *design, s *shape, sol *solution, mv [3]float64) (mean [2]float64, cov [3]float64) {
	c := w.core(&s.g)
	o := c.given(&s.g, meanOf(d, sol))
	for i, ij := range [3][2]int{{0, 0}, {0, 1}, {1, 1}} {
		r, t := o.keep[ij[0]], o.keep[ij[1]]
		o.cov[i] += r[0]*(mv[0]*t[0]+mv[1]*t[1]) + r[1]*(mv[1]*t[0]+mv[2]*t[1])
	}
	return o.mean, o.cov
}

// natural brings a law of level at age 0 and drift (natural units, less the
// centre) to the caller's units.
func (p *problem) natural(u *unit, d *design, w *whitened, b [2]float64, v [3]float64, walk float64) law {
	var base [2]float64
	for j, x := range d.level {
		base[0] += x * p.centre[j]
	}
	for j, x := range d.drift {
		base[1] += x * p.centre[p.levels+j]
	}
	y, n := p.valueScale, p.ageScale
	z0 := 1 - w.walk[0]
	z1 := u.last - u.mid*w.walk[0] - w.walk[1]
	out := law{
		mean: [2]float64{base[0] + y*b[0], base[1] + y/n*b[1]},
		root: root2([3]float64{y * y * max(0, v[0]), y * y / n * v[1], y * y / (n * n) * max(0, v[2])}),
		last: carry{level: z0, drift: z1 * n, sd: y * math.Sqrt(w.walkV)},
		walk: walk,
	}
	out.last.base = base[0] + base[1]*u.last*n + y*(w.walk[2]+u.alpha*w.walk[0]+u.delta*w.walk[1]) - z0*base[0] - z1*n*base[1]
	return out
}

// root2 is the lower triangular root of a 2×2 covariance.
func root2(v [3]float64) [3]float64 {
	a := math.Sqrt(max(0, v[0]))
	if a == 0 {
		return [3]float64{0, 0, math.Sqrt(max(0, v[2]))}
	}
	b := v[1] / a
	return [3]float64{a, b, math.Sqrt(max(0, v[2]-b*b))}
}
