package wander

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/mat"
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

// law is a normal law of level and drift, and how the path goes on.
type law struct {
	mean [2]float64
	root [3]float64 // lower triangular root of the covariance
	walk float64    // q
}

// Forecast is that of unit i of the fit. It costs a pass over its readings for
// each of the Points.
func (m *Model) Forecast(i int) Forecast {
	if i < 0 || i >= len(m.problem.units) {
		panic(fmt.Sprintf("wander: unit %d of %d", i, len(m.problem.units)))
	}
	u := &m.problem.units[i]
	return m.forecast(u, &m.problem.designs[u.design])
}

// ForecastNew is the forecast, from age 0, of a unit that was not in the fit,
// with its rows of the designs (nil for {1}).
func (m *Model) ForecastNew(level, drift []float64) Forecast {
	u := Unit{Level: level, Drift: drift}
	if len(u.level()) != m.problem.levels || len(u.drift()) != m.problem.drifts {
		panic("wander: rows of the design differ in length")
	}
	return m.forecast(&unit{}, &design{u.level(), u.drift()})
}

// Unit is the state of unit i at its last reading.
func (m *Model) Unit(i int) State { return m.Forecast(i).State() }

// Draw is Forecast(i).Draw(rng); for many draws of one unit, keep the Forecast.
func (m *Model) Draw(i int, rng *rand.Rand) Path { return m.Forecast(i).Draw(rng) }

// State is mean and covariance of the forecast's level and drift.
func (f Forecast) State() State { return f.state }

// Draw is one way in which the unit may go on.
func (f Forecast) Draw(rng *rand.Rand) Path {
	l := &f.laws[min(sort.SearchFloat64s(f.upTo, rng.Float64()), len(f.laws)-1)]
	z0, z1 := rng.NormFloat64(), rng.NormFloat64()
	return Path{
		Age:   f.age,
		Level: l.mean[0] + l.root[0]*z0,
		Drift: l.mean[1] + l.root[1]*z0 + l.root[2]*z1,
		sd:    math.Sqrt(l.walk),
		rng:   rng,
	}
}

func (m *Model) forecast(u *unit, d *design) Forecast {
	p := m.problem
	out := Forecast{age: u.last * p.ageScale, laws: make([]law, 0, len(m.Points)), upTo: make([]float64, 0, len(m.Points))}
	sum := 0.0
	var second [3]float64
	for i := range m.Points {
		pt := &m.Points[i]
		mean, cov := p.stateAt(u, d, &pt.shape, &pt.sol)
		out.laws = append(out.laws, law{mean: mean, root: root2(cov), walk: pt.Diffusion})
		sum += pt.Weight
		out.upTo = append(out.upTo, sum)
		out.state.Level += pt.Weight * mean[0]
		out.state.Drift += pt.Weight * mean[1]
		for k := range second {
			second[k] += pt.Weight * cov[k]
		}
	}
	for i := range m.Points {
		a, b, w := out.laws[i].mean[0]-out.state.Level, out.laws[i].mean[1]-out.state.Drift, m.Points[i].Weight
		second[0], second[1], second[2] = second[0]+w*a*a, second[1]+w*a*b, second[2]+w*b*b
	}
	out.state.Age = out.age
	out.state.Cov = [2][2]float64{{second[0], second[1]}, {second[1], second[2]}}
	return out
}

// stateAt is mean and covariance (level variance, covariance, drift variance)
// of a unit's level at its last reading and its drift, given the spreads, with
// the means integrated out.
func (p *problem) stateAt(u *unit, d *design, s *shape, sol *solution) (mean [2]float64, cov [3]float64) {
	w := u.whiten(s)
	c := w.core(&s.g)
	g := s.g
	// E'E and its product with G: what the readings take of the spread.
	k00 := c.e[0][0]*c.e[0][0] + c.e[1][0]*c.e[1][0]
	k01 := c.e[0][0]*c.e[0][1] + c.e[1][0]*c.e[1][1]
	k11 := c.e[0][1]*c.e[0][1] + c.e[1][1]*c.e[1][1]
	gk := [2][2]float64{
		{g[0]*k00 + g[1]*k01, g[0]*k01 + g[1]*k11},
		{g[1]*k00 + g[2]*k01, g[1]*k01 + g[2]*k11},
	}
	h := [2]float64{c.e[0][0]*c.v[0] + c.e[1][0]*c.v[1], c.e[0][1]*c.v[0] + c.e[1][1]*c.v[1]}
	var mu [2]float64
	for j, x := range d.level {
		mu[0] += x * sol.beta[j]
	}
	for j, x := range d.drift {
		mu[1] += x * sol.beta[p.levels+j]
	}
	b := mu
	for i := range 2 {
		b[i] += g[i]*h[0] + g[i+1]*h[1] - gk[i][0]*mu[0] - gk[i][1]*mu[1]
	}
	post := [3]float64{
		g[0] - gk[0][0]*g[0] - gk[0][1]*g[1],
		g[1] - gk[0][0]*g[1] - gk[0][1]*g[2],
		g[2] - gk[1][0]*g[1] - gk[1][1]*g[2],
	}
	keep := [2][2]float64{{1 - gk[0][0], -gk[0][1]}, {-gk[1][0], 1 - gk[1][1]}}
	mv := meanCov(sol.info, d)
	for i, ij := range [3][2]int{{0, 0}, {0, 1}, {1, 1}} {
		r, t := keep[ij[0]], keep[ij[1]]
		post[i] += r[0]*(mv[0]*t[0]+mv[1]*t[1]) + r[1]*(mv[1]*t[0]+mv[2]*t[1])
	}
	return p.carried(u, d, &w, b, post)
}

// carried brings level at age 0 and drift (natural units, less the centre) to
// the level at the last reading, wandering included, in the caller's units.
func (p *problem) carried(u *unit, d *design, w *whitened, b [2]float64, v [3]float64) (mean [2]float64, cov [3]float64) {
	z0 := 1 - w.walk[0]
	z1 := u.last - u.mid*w.walk[0] - w.walk[1]
	level := z0*b[0] + z1*b[1] + w.walk[2] + u.alpha*w.walk[0] + u.delta*w.walk[1]
	lv := z0*z0*v[0] + 2*z0*z1*v[1] + z1*z1*v[2] + w.walkV
	lc := z0*v[1] + z1*v[2]
	var base [2]float64
	for j, x := range d.level {
		base[0] += x * p.centre[j]
	}
	for j, x := range d.drift {
		base[1] += x * p.centre[p.levels+j]
	}
	y, n := p.valueScale, p.ageScale
	mean = [2]float64{base[0] + base[1]*u.last*n + y*level, base[1] + y/n*b[1]}
	return mean, [3]float64{y * y * max(0, lv), y * y / n * lc, y * y / (n * n) * max(0, v[2])}
}

// meanCov is the covariance of the mean level and drift of a row of the designs.
func meanCov(info *mat.Cholesky, d *design) [3]float64 {
	k := len(d.level) + len(d.drift)
	if k == 0 {
		return [3]float64{}
	}
	m, x := mat.NewDense(k, 2, nil), mat.NewDense(k, 2, nil)
	for j, v := range d.level {
		m.Set(j, 0, v)
	}
	for j, v := range d.drift {
		m.Set(len(d.level)+j, 1, v)
	}
	if info.SolveTo(x, m) != nil {
		return [3]float64{}
	}
	var out mat.Dense
	out.Mul(m.T(), x)
	return [3]float64{out.At(0, 0), out.At(0, 1), out.At(1, 1)}
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
