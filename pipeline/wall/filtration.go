package wall

import (
	"math"

	"moldwright/pipeline/stats/mixed"
)

// filtrationLaw is slip casting with the resistances of cake and mold in
// series, Darcy's law for both (Tiller & Tsai 1986, J. Am. Ceram. Soc. 69, from
// memory; derived anew):
//
//	t = a·L² + b·L,  so  L = (−b + √(b² + 4·a·t)) / (2·a)
//
// with t in min and L in mm. log a is linear in form, wetness, slip and the
// mold's level; b grows with mold age, b = (kind's wear + mold's wear)·n, as a
// clogged face shows. A negative b stands for a mold that improves. L is fitted
// from t, not t/L from L, which has reading error on both sides. Fitted on the
// log scale by repeated linearisation (Lindstrom & Bates 1990).
type filtrationLaw struct{}

func (filtrationLaw) name() string { return Filtration }

func (filtrationLaw) extend(d design) design { return d }

// resistances are log a and b of a row: the age columns of the design make b,
// the others log a, and so do the mold's two effects.
func (filtrationLaw) resistances(d design, r row, beta, b []float64) (logA, mold float64) {
	for j, c := range d.columns {
		v := c.of(r) * beta[j]
		if c.ages {
			mold += v
		} else {
			logA += v
		}
	}
	if d.pooled {
		logA += b[0]
	}
	if d.slopes {
		mold += b[1] * r.age
	}
	return logA, mold
}

func (filtrationLaw) fixed(d *design, x []float64, _ float64, beta []float64) (p parts) {
	for j, v := range x {
		if d.columns[j].ages {
			p.wear += v * beta[j]
		} else {
			p.level += v * beta[j]
		}
	}
	return p
}

// whole by the law; with s = √(b² + 4at), ∂log L/∂log a = −a·L/s and
// ∂log L/∂b = −1/s.
func (filtrationLaw) whole(d *design, p parts, dwell, age float64, b []float64) (logWall, byLevel, byWear float64) {
	if d.pooled {
		p.level += b[0]
	}
	if d.slopes {
		p.wear += b[1] * age
	}
	a := math.Exp(p.level)
	wall, s := seriesWall(a, p.wear, dwell)
	return math.Log(wall), -a * wall / s, -1 / s
}

// seriesWall is the wall in mm after t min at cake resistance a (min/mm²) and
// mold resistance b (min/mm), and s = √(b² + 4at). For positive b the form
// 2t/(b + s) is used, which does not cancel.
func seriesWall(a, b, t float64) (wall, s float64) {
	s = math.Sqrt(b*b + 4*a*t)
	if b > 0 {
		return 2 * t / (b + s), s
	}
	return (s - b) / (2 * a), s
}

func (l filtrationLaw) fit(in inputs, d design, weights []float64, from start, criteria ...mixed.Criterion) ([]*mixed.Model, error) {
	s := resistanceScale(in)
	rows, curve := l.curve(in, d, weights, l.priors(d, s))
	like := from.effects(l, d)
	var out []*mixed.Model
	for _, c := range criteria {
		var fitted *mixed.Nonlinear
		var err error
		if like != nil {
			fitted, err = mixed.FitNonlinearFrom(rows, like, curve, c, from.sure)
		} else {
			var first []float64
			if first, err = l.start(in, d, weights, from, s); err != nil {
				return nil, err
			}
			fitted, err = mixed.FitNonlinear(rows, d.randoms(), first, curve, c)
		}
		if err != nil {
			return nil, err
		}
		out = append(out, fitted.Model)
		like = fitted.Model
	}
	return out, nil
}

// priors follow from those of log wall as the start does.
func (filtrationLaw) priors(d design, s float64) []pseudoRow { return d.pseudoRows(-2, -s) }

// curve is the law as the engine takes it: the casts, and behind them what is
// believed of the fixed effects.
func (l filtrationLaw) curve(in inputs, d design, weights []float64, priors []pseudoRow) (mixed.Rows, mixed.Curve) {
	n := len(in.rows)
	rows := mixed.Rows{
		N: n + len(priors), Priors: len(priors),
		Group: func(i int) int {
			if i < n {
				return in.rows[i].mold
			}
			return len(in.log.Molds)
		},
		Y: func(i int) float64 {
			if i < n {
				return in.rows[i].logWall
			}
			return priors[i-n].y
		},
		Weight: func(i int) float64 {
			if i < n {
				return weights[i]
			}
			return 1
		},
	}
	belief := func(i int, beta, byBeta, byB []float64) float64 {
		clear(byBeta)
		clear(byB)
		p := priors[i-n]
		byBeta[p.column] = p.x
		return p.x * beta[p.column]
	}
	sorts, of := []sort{{design: d}}, []int32(nil)
	if in.lean && d.sorted() {
		sorts, of = d.sorts(in.log)
		if in.part {
			rows.Settled = 1e-5 // what it tells is far less certain
		}
		rows.Patterns, rows.Pattern = patternsOf(sorts), func(mold int) int { return int(of[mold]) }
	}
	known := knownRowsOf(l, in, sorts, of)
	picked := make([]float64, len(d.columns))
	return rows, func(i int, beta, b, byBeta, byB []float64) float64 {
		if i >= n {
			return belief(i, beta, byBeta, byB)
		}
		s := &sorts[0]
		if of != nil {
			s = &sorts[of[in.rows[i].mold]]
			beta = s.picked(beta, picked)
		}
		return known.logWall(l, &s.design, i, beta, b, byBeta, byB)
	}
}

// start takes the parabolic fit over: log a = −2·(log wall's terms), and b so
// that log wall falls with age as fast as it does there at a middle wall,
// ∂log L/∂n = −b/(n·s).
func (filtrationLaw) start(in inputs, d design, weights []float64, from start, s float64) ([]float64, error) {
	m, err := powerLaw{}.fit(in, d, weights, from, mixed.REML)
	if err != nil {
		return nil, err
	}
	first := make([]float64, len(d.columns))
	for j, c := range d.columns {
		first[j] = -2 * m[0].Beta[j]
		if c.ages {
			first[j] = -m[0].Beta[j] * s
		}
	}
	return first, nil
}

// resistanceScale is s = √(b² + 4at) at a middle cast: about 2aL, which is
// 2t/L in the parabolic law, in min/mm.
func resistanceScale(in inputs) float64 {
	logs := make([]float64, 0, len(in.rows))
	for _, r := range in.rows {
		logs = append(logs, r.logT-r.logWall)
	}
	return 2 * math.Exp(median(logs))
}

func (l filtrationLaw) course(d design, r row, beta, b []float64) Course {
	r.age = 0
	logA, fresh := l.resistances(d, r, beta, b)
	r.age = 1
	_, aged := l.resistances(d, r, beta, b)
	return SeriesCourse{A: math.Exp(logA), PerCast: aged - fresh}
}

// SeriesCourse is t = A·L² + PerCast·n·L.
type SeriesCourse struct {
	A       float64 // min/mm²
	PerCast float64 // growth of the mold's resistance, min/mm per cast
}

// DwellNeeded is A·L² + PerCast·n·L, not below zero.
func (c SeriesCourse) DwellNeeded(wallMM, age float64) float64 {
	return math.Max(0, wallMM*(c.A*wallMM+c.PerCast*age))
}

// LastAge is (t/L − A·L)/PerCast.
func (c SeriesCourse) LastAge(wallMM, dwellMin float64) float64 {
	if c.PerCast <= 0 {
		return math.Inf(1)
	}
	return (dwellMin/wallMM - c.A*wallMM) / c.PerCast
}

// inverse is the law itself.
func (c SeriesCourse) inverse(age float64) (a, power, b float64) { return c.A, 2, c.PerCast * age }

// elasticity is ∂log L/∂log t = t/(L·s) with s = 2aL + b: ½ for b = 0, 1 where
// the mold alone resists.
func (c SeriesCourse) elasticity(wallMM, age float64) float64 {
	b := c.PerCast * age
	return (c.A*wallMM + b) / (2*c.A*wallMM + b)
}
