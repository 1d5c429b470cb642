package wander

import (
	"fmt"
	"math"
	"slices"
)

// DriftLaw is one way in which units drift: normally about a mean, per unit of
// age, with a chance.
type DriftLaw struct {
	Mean, SD, Chance float64
}

// ForecastAs is Forecast(i) for a unit whose drift is known beforehand to follow
// one of several laws, in place of the law across units that was fitted. The
// unit's readings say which of them is likely.
func (m *Model) ForecastAs(i int, drifts []DriftLaw) Forecast {
	u := &m.problem.units[i]
	return m.forecastAs(u, &m.problem.designs[u.design], u.design, m.readings(i), drifts)
}

// readings gives what unit i of the fit says at each of the Points.
func (m *Model) readings(i int) func(pt *Point) whitened {
	n := len(m.problem.units[i].age)
	return func(pt *Point) whitened {
		scale := pt.shape.scale()
		return scale.of(&pt.units[i], n)
	}
}

// fresh gives likewise what a unit that was not in the fit says. Points of one ratio of
// wandering to noise, as those of straight paths are, take one pass over its readings.
func fresh(u *unit) func(pt *Point) whitened {
	last, w := math.NaN(), whitened{}
	return func(pt *Point) whitened {
		if !(pt.shape.noise > 0) {
			return u.whiten(&pt.shape)
		}
		if ratio := pt.shape.ratio(); ratio != last {
			last, w = ratio, u.whiten(&shape{noise: 1, walk: ratio})
		}
		scale := pt.shape.scale()
		return scale.of(&w, len(u.age))
	}
}

// ForecastUnitAs is likewise of a unit that was not in the fit, by its own readings
// and what the units of the fit tell. An error names a reading that cannot be used.
func (m *Model) ForecastUnitAs(u Unit, drifts []DriftLaw) (Forecast, error) {
	if err := u.check(); err != nil {
		return Forecast{}, fmt.Errorf("forecasting a path: %w", err)
	}
	p := m.problem
	m.checkRows(u.level(), u.drift())
	d, place := design{u.level(), u.drift()}, -1
	for k := range p.designs {
		if slices.Equal(p.designs[k].level, d.level) && slices.Equal(p.designs[k].drift, d.drift) {
			place = k
		}
	}
	own := p.scaled(&u, &d)
	return m.forecastAs(&own, &d, place, fresh(&own), drifts), nil
}

// ForecastNewAs is likewise of a unit without readings, from age 0, with its rows of
// the designs.
func (m *Model) ForecastNewAs(level, drift []float64, drifts []DriftLaw) Forecast {
	m.checkRows(level, drift)
	return m.forecastAs(&unit{}, &design{level, drift}, -1, fresh(&unit{}), drifts)
}

func (m *Model) checkRows(level, drift []float64) {
	if len(level) != m.problem.levels || len(drift) != m.problem.drifts {
		panic("wander: rows of the design differ in length")
	}
}

// forecastAs forecasts a unit of a design, which is that of so many in the fit or,
// at −1, none of them, by what its readings say at each of the Points.
func (m *Model) forecastAs(u *unit, d *design, place int, say func(pt *Point) whitened, drifts []DriftLaw) Forecast {
	p := m.problem
	laws := make([]law, 0, len(m.Points)*len(drifts))
	weights := make([]float64, 0, len(m.Points)*len(drifts))
	logs := make([]float64, len(drifts))
	centre := 0.0
	for j, x := range d.drift {
		centre += x * p.centre[p.levels+j]
	}
	size := p.valueScale / p.ageScale
	for k := range m.Points {
		pt := &m.Points[k]
		w := say(pt)
		mu := meanOf(d, &pt.sol)
		level := pt.shape.g[0]
		if place >= 0 {
			level += pt.means[place][0]
		} else {
			level += meanCov(pt.sol.info, d)[0]
		}
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
