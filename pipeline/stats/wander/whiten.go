package wander

import "math"

// whitened is what a unit's readings say once their wandering and noise are
// taken into account: with V the covariance of readings given level and drift,
// and columns 1, age − mid and the rest,
//
//	[1 age]' V⁻¹ [1 age] = A'A,   [1 age]' V⁻¹ y = A'u,   y' V⁻¹ y = u'u + left²
type whitened struct {
	a      [2][2]float64
	u      [2]float64
	left2  float64
	logDet float64 // of V

	// What the columns 1, age − mid and the rest say of the wandering at the last
	// reading: it is rest − (a + b mid − α)·one − (b − δ)·age, each filtered.
	walk  [3]float64
	walkV float64 // variance of what is left of it
}

// shape is the spread of a unit: variances of a reading's noise and of
// wandering per age, and the covariance of level and drift across units.
type shape struct {
	noise, walk float64
	g           [3]float64 // var level, covariance, var drift
}

// whiten runs the Kalman filter for the wandering alone (one state), on three
// columns at once (de Jong 1991, "The diffuse Kalman filter", Ann. Stat. 19).
func (u *unit) whiten(s *shape) whitened {
	var out whitened
	var m1, ma, mr, p float64
	var s11, s1a, saa, s1r, sar, srr float64
	det := 1.0
	for j, x := range u.age {
		p += s.walk * u.step[j]
		v := s.noise * u.noise[j]
		f := p + v
		inv := 1 / f
		e1, ea, er := 1-m1, x-ma, u.rest[j]-mr
		gain := p * inv
		m1, ma, mr = m1+gain*e1, ma+gain*ea, mr+gain*er
		p = gain * v
		w1, wa := e1*inv, ea*inv
		s11, s1a, s1r = s11+w1*e1, s1a+w1*ea, s1r+w1*er
		saa, sar, srr = saa+wa*ea, sar+wa*er, srr+er*er*inv
		det *= f
		if det < 1e-200 || det > 1e200 {
			out.logDet += math.Log(det)
			det = 1
		}
	}
	out.logDet += math.Log(det)
	out.walk, out.walkV = [3]float64{m1, ma, mr}, p
	out.factor(u, [3]float64{s11, s1a, saa}, [2]float64{s1r, sar}, srr)
	return out
}

// factor turns cross-products of the columns into A, u and what is left.
func (w *whitened) factor(u *unit, k [3]float64, h [2]float64, yy float64) {
	r00 := math.Sqrt(k[0])
	if r00 == 0 {
		w.left2 = yy
		return
	}
	r01, u0 := k[1]/r00, h[0]/r00
	d2 := k[2] - r01*r01
	r11, u1 := 0.0, 0.0
	if d2 > 1e-13*k[2] {
		r11 = math.Sqrt(d2)
		u1 = (h[1] - r01*u0) / r11
	}
	w.left2 = max(0, yy-u0*u0-u1*u1)
	// With the line about mid put back, [1 age−mid] = [1 age]·[1 −mid; 0 1].
	u0 += r00*u.alpha + r01*u.delta
	u1 += r11 * u.delta
	w.a = [2][2]float64{{r00, r00*u.mid + r01}, {0, r11}}
	w.u = [2]float64{u0, u1}
}

// core is C = I + A G A' in factors, and what the mean's equations need of it.
type core struct {
	l      [3]float64    // lower triangular root of C
	e      [2][2]float64 // L⁻¹A
	v      [2]float64    // L⁻¹u
	logDet float64       // of C
}

func (w *whitened) core(g *[3]float64) core {
	a := &w.a
	ag00, ag01 := a[0][0]*g[0]+a[0][1]*g[1], a[0][0]*g[1]+a[0][1]*g[2]
	ag10, ag11 := a[1][0]*g[0]+a[1][1]*g[1], a[1][0]*g[1]+a[1][1]*g[2]
	c00 := 1 + ag00*a[0][0] + ag01*a[0][1]
	c10 := ag10*a[0][0] + ag11*a[0][1]
	c11 := 1 + ag10*a[1][0] + ag11*a[1][1]
	var c core
	l0 := math.Sqrt(c00)
	l1 := c10 / l0
	l2 := math.Sqrt(max(1e-300, c11-l1*l1))
	c.l = [3]float64{l0, l1, l2}
	c.logDet = 2 * math.Log(l0*l2)
	for k := range 2 {
		c.e[0][k] = a[0][k] / l0
		c.e[1][k] = (a[1][k] - l1*c.e[0][k]) / l2
	}
	c.v[0] = w.u[0] / l0
	c.v[1] = (w.u[1] - l1*c.v[0]) / l2
	return c
}
