package wander

import "math"

// Errors are the one-step-ahead errors of unit i: each reading less what the
// means and the unit's earlier readings foretell, over its standard deviation,
// at the estimate of the spreads and means. Under the model they are
// independent and standard normal but for what the estimates took from them.
func (m *Model) Errors(i int) []float64 {
	e, sd := m.innovations(i)
	for j := range e {
		if sd[j] > 0 {
			e[j] /= sd[j]
		} else {
			e[j] = 0
		}
	}
	return e
}

// innovations are those errors and their standard deviations in natural units,
// by the Kalman filter for level and drift (Kalman 1960).
func (m *Model) innovations(i int) (e, sd []float64) {
	p := m.problem
	u := &p.units[i]
	s := &m.at.shape
	b := m.at.sol.beta
	d := &p.designs[u.design]
	var x [2]float64
	for j, v := range d.level {
		x[0] += v * b[j]
	}
	for j, v := range d.drift {
		x[1] += v * b[p.levels+j]
	}
	v := s.g
	for j := range u.age {
		h := u.step[j]
		x[0] += h * x[1]
		v = [3]float64{v[0] + 2*h*v[1] + h*h*v[2] + s.walk*h, v[1] + h*v[2], v[2]}
		f := v[0] + s.noise*u.noise[j]
		err := u.alpha + u.delta*u.age[j] + u.rest[j] - x[0]
		e, sd = append(e, err), append(sd, math.Sqrt(f))
		if f > 0 {
			k0, k1 := v[0]/f, v[1]/f
			x[0], x[1] = x[0]+k0*err, x[1]+k1*err
			v = [3]float64{v[0] - k0*v[0], v[1] - k0*v[1], v[2] - k1*v[1]}
		}
	}
	return e, sd
}
