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

// Forecast is that of unit i of the fit. It costs a pass over its readings for
// each of the Points.
func (m *Model) Forecast(i int) Forecast {
	if i < 0 || i >= len(m.problem.units) {
		panic(fmt.Sprintf("wander: unit %d of %d", i, len(m.problem.units)))
	}
	u := &m.problem.units[i]
	return m.forecast(u, &m.problem.designs[u.design])
}

// Unit is the state of unit i at its last reading.
func (m *Model) Unit(i int) State { return m.Forecast(i).State() }

// State is mean and covariance of the forecast's level and drift.
func (f Forecast) State() State { return f.state }

// Draw is one way in which the unit may go on.
func (f Forecast) Draw(rng *rand.Rand) Path {
	l := &f.laws[min(sort.SearchFloat64s(f.upTo, rng.Float64()), len(f.laws)-1)]
	z0, z1 := rng.NormFloat64(), rng.NormFloat64()
	p := Path{
		Age:   f.age,
		Start: l.mean[0] + l.root[0]*z0,
		Drift: l.mean[1] + l.root[1]*z0 + l.root[2]*z1,
		sd:    math.Sqrt(l.walk),
		rng:   rng,
	}
	p.Level = l.last.base + l.last.level*p.Start + l.last.drift*p.Drift + l.last.sd*rng.NormFloat64()
	return p
}

func (m *Model) forecast(u *unit, d *design) Forecast {
	laws := make([]law, 0, len(m.Points))
	weights := make([]float64, 0, len(m.Points))
	for i := range m.Points {
		pt := &m.Points[i]
		w := u.whiten(&pt.shape)
		mean, cov := m.problem.stateAt(&w, d, &pt.shape, &pt.sol)
		laws = append(laws, m.problem.natural(u, d, &w, mean, cov, pt.Diffusion))
		weights = append(weights, pt.Weight)
	}
	return mixture(u.last*m.problem.ageScale, laws, weights)
}

// DriftLaw is one way in which units drift: normally about a mean, per unit of
// age, with a chance.
type DriftLaw struct {
	Mean, SD, Chance float64
}

// ForecastAs is Forecast(i) for a unit whose drift is known beforehand to follow
// one of several laws, in place of the law across units that was fitted. The
// unit's readings say which of them is likely.
func (m *Model) ForecastAs(i int, drifts []DriftLaw) Forecast {
	p := m.problem
	u := &p.units[i]
	d := &p.designs[u.design]
	var laws []law
	var weights []float64
	logs := make([]float64, len(drifts))
	centre := 0.0
	for j, x := range d.drift {
		centre += x * p.centre[p.levels+j]
	}
	size := p.valueScale / p.ageScale
	for k := range m.Points {
		pt := &m.Points[k]
		w := u.whiten(&pt.shape)
		mu := meanOf(d, &pt.sol)
		level := pt.shape.g[0] + meanCov(pt.sol.info, d)[0]
		top := math.Inf(-1)
		for j, b := range drifts {
			mu[1] = (b.Mean - centre) / size
			g := [3]float64{level, 0, b.SD * b.SD / (size * size)}
			c := w.core(&g)
			own := c.given(&g, mu)
			laws = append(laws, p.natural(u, d, &w, own.mean, own.cov, pt.Diffusion))
			e0 := c.v[0] - c.e[0][0]*mu[0] - c.e[0][1]*mu[1]
			e1 := c.v[1] - c.e[1][0]*mu[0] - c.e[1][1]*mu[1]
			logs[j] = math.Log(b.Chance) - (c.logDet+e0*e0+e1*e1)/2
			top = max(top, logs[j])
		}
		sum := 0.0
		for j := range logs {
			logs[j] = math.Exp(logs[j] - top)
			sum += logs[j]
		}
		for j := range logs {
			weights = append(weights, pt.Weight*logs[j]/sum)
		}
	}
	return mixture(u.last*p.ageScale, laws, weights)
}

// mixture is a forecast by several laws, whose weights add to 1.
func mixture(age float64, laws []law, weights []float64) Forecast {
	out := Forecast{age: age, laws: laws, upTo: make([]float64, 0, len(laws)), state: State{Age: age}}
	sum := 0.0
	for i, w := range weights {
		sum += w
		out.upTo = append(out.upTo, sum)
		level, drift := laws[i].today()
		out.state.Level += w * level
		out.state.Drift += w * drift
	}
	s := &out.state
	for i, w := range weights {
		level, drift := laws[i].today()
		a, b := level-s.Level, drift-s.Drift
		v := laws[i].todayCov()
		s.Cov[0][0] += w * (v[0] + a*a)
		s.Cov[0][1] += w * (v[1] + a*b)
		s.Cov[1][1] += w * (v[2] + b*b)
	}
	s.Cov[1][0] = s.Cov[0][1]
	return out
}

// today is the mean of level at the last reading and of drift.
func (l *law) today() (level, drift float64) {
	return l.last.base + l.last.level*l.mean[0] + l.last.drift*l.mean[1], l.mean[1]
}

// todayCov is their variance, covariance and variance.
func (l *law) todayCov() [3]float64 {
	r := &l.root
	v := [3]float64{r[0] * r[0], r[0] * r[1], r[1]*r[1] + r[2]*r[2]}
	z0, z1 := l.last.level, l.last.drift
	return [3]float64{z0*z0*v[0] + 2*z0*z1*v[1] + z1*z1*v[2] + l.last.sd*l.last.sd, z0*v[1] + z1*v[2], v[2]}
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
// of a unit's level at age 0 and its drift, given the spreads, with the means
// integrated out.
func (p *problem) stateAt(w *whitened, d *design, s *shape, sol *solution) (mean [2]float64, cov [3]float64) {
	c := w.core(&s.g)
	o := c.given(&s.g, meanOf(d, sol))
	mv := meanCov(sol.info, d)
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
