package wall

import (
	"math"
	"slices"

	"moldwright/pipeline/stats/mixed"
)

// law is a candidate for how wall follows dwell and mold age. The fixed effects
// are those of the design's columns; the mold's effects are its level and, where
// the design has slopes, its wear.
type law interface {
	name() string
	// extend adds the law's own columns to a design.
	extend(d design) design
	// fixed are the parts of a wall that the fixed effects make, x being the row's
	// columns of the design.
	fixed(d *design, x []float64, logT float64, beta []float64) parts
	// whole is the log of the wall in mm after a dwell in min, see dwellIn, at an age
	// in casts, with the mold's effects; byLevel and byWear are its derivatives by the parts.
	whole(d *design, p parts, dwell, age float64, b []float64) (logWall, byLevel, byWear float64)
	// fit estimates the effects and variances on the log scale, by one criterion or
	// several of the same rows, in turn.
	fit(in inputs, d design, weights []float64, from start, criteria ...mixed.Criterion) ([]*mixed.Model, error)
	// priors are what is believed of the terms beforehand; s is resistanceScale.
	priors(d design, s float64) []pseudoRow
	// course is the law at given effects as a function of dwell and age, other
	// things as in the row.
	course(d design, r row, beta, b []float64) Course
}

// Names of the candidate laws.
const (
	Parabolic  = "parabolic law, exponent 1/2"
	Power      = "power law, exponent free"
	Filtration = "filtration law, mold resistance growing with age"
)

func laws() []law { return []law{powerLaw{free: false}, powerLaw{free: true}, filtrationLaw{}} }

// laws are the candidates of those names, all of them where none is named.
func (s Settings) laws() (chosen []law) {
	for _, l := range laws() {
		if len(s.Laws) == 0 || slices.Contains(s.Laws, l.name()) {
			chosen = append(chosen, l)
		}
	}
	return chosen
}

// Course is how the wall of one mold follows dwell and age, all parameters
// known, other things at their usual values.
type Course interface {
	// DwellNeeded is the dwell in min for a wall in mm at an age in casts.
	DwellNeeded(wallMM, age float64) float64
	// LastAge is the age in casts up to which a dwell in min gives a wall in mm:
	// it may be no whole number, negative where even a new mold is too slow, and
	// is +Inf where the mold does not wear.
	LastAge(wallMM, dwellMin float64) float64
	// Margin is what is left, when the mold is new, until a dwell in min no longer
	// gives a wall in mm, and how much of it each cast takes: a dwell suffices at an
	// age n where fresh − perCast·n is not negative.
	Margin(wallMM, dwellMin float64) (fresh, perCast float64)
	// inverse gives the dwell of a wall at an age: a·wall^power + b·wall, in min
	// and mm. It is exact where walls grow with dwell.
	inverse(age float64) (a, power, b float64)
	// elasticity is the relative change of wall by that of dwell at a wall and age.
	elasticity(wallMM, age float64) float64
}

// parts are what levels and wear make of a row: in the power law of log wall, where
// all is level, and in the filtration law of log a and of b.
type parts struct{ level, wear float64 }

// logWallBy is the log of the wall in mm of a row by a law at given effects; it writes
// the derivatives by them.
func logWallBy(l law, d *design, r *row, beta, b, byBeta, byB []float64) float64 {
	d.fillX(r, byBeta)
	value, byLevel, byWear := l.whole(d, l.fixed(d, byBeta, r.logT, beta), dwellIn(l, r.logT), r.age, b)
	d.derive(byBeta, byLevel, byWear)
	d.deriveB(byB, byLevel, byWear, r.age)
	return value
}

// dwellIn is the dwell in min for a law that asks for it, and 0 for one that does
// not: it is an exponential, for each of millions of casts.
func dwellIn(l law, logT float64) float64 {
	if linear(l) {
		return 0
	}
	return math.Exp(logT)
}

// derive turns a row's columns into derivatives by their effects.
func (d *design) derive(x []float64, byLevel, byWear float64) {
	for j := range x {
		if d.columns[j].ages {
			x[j] *= byWear
		} else {
			x[j] *= byLevel
		}
	}
}

// deriveB writes the derivatives by the mold's effects.
func (d *design) deriveB(byB []float64, byLevel, byWear, age float64) {
	clear(byB)
	if d.pooled {
		byB[0] = byLevel
	}
	if d.slopes {
		byB[1] = byWear * age
	}
}

const exponentTerm = "exponent of dwell"

// powerLaw is log L = x'β + z'b + m·log t with m = ½ or estimated: linear in
// its effects.
type powerLaw struct{ free bool }

func (l powerLaw) name() string {
	if l.free {
		return Power
	}
	return Parabolic
}

func (l powerLaw) extend(d design) design {
	if !l.free {
		return d
	}
	d.columns = append(slices.Clone(d.columns), column{term: exponentTerm, is: logDwell, of: func(r row) float64 { return r.logT }})
	return d
}

// offset is what the law fixes beforehand.
func (l powerLaw) offset(logT float64) float64 {
	if l.free {
		return 0
	}
	return logT / 2
}

func (l powerLaw) fixed(_ *design, x []float64, logT float64, beta []float64) parts {
	return parts{level: l.offset(logT) + dot(x, beta)}
}

func (powerLaw) whole(d *design, p parts, _, age float64, b []float64) (logWall, byLevel, byWear float64) {
	own := 0.0
	if d.pooled {
		own = b[0]
	}
	if d.slopes {
		own += age * b[1]
	}
	return p.level + own, 1, 1
}

func (l powerLaw) fit(in inputs, d design, weights []float64, from start, criteria ...mixed.Criterion) ([]*mixed.Model, error) {
	like := from.variances()
	var fit func(c mixed.Criterion, like *mixed.Model) (*mixed.Model, error)
	if in.lean && d.sorted() {
		blocks := l.blocks(in, d, weights)
		fit = func(c mixed.Criterion, like *mixed.Model) (*mixed.Model, error) {
			return mixed.FitBlocks(blocks, c, like)
		}
	} else {
		sums := l.sums(in, d, weights)
		fit = func(c mixed.Criterion, like *mixed.Model) (*mixed.Model, error) {
			return mixed.FitFrom(sums, c, like)
		}
	}
	var out []*mixed.Model
	for _, c := range criteria {
		m, err := fit(c, like)
		if err != nil {
			return nil, err
		}
		out = append(out, m)
		if !from.sure {
			like = m
		}
	}
	return out, nil
}

func (powerLaw) priors(d design, _ float64) []pseudoRow { return d.pseudoRows(1, 1) }

// sums of the rows, from which fits by any criterion follow.
func (l powerLaw) sums(in inputs, d design, weights []float64) *mixed.Sums {
	s := mixed.NewSums(len(d.columns), d.randoms())
	x, z := make([]float64, len(d.columns)), make([]float64, d.randoms())
	for i := range in.rows {
		r := &in.rows[i]
		d.fillX(r, x)
		d.fillZ(r, z)
		s.Add(r.mold, x, z, r.logWall-l.offset(r.logT), weights[i])
	}
	for _, p := range l.priors(d, 0) {
		clear(x)
		x[p.column] = p.x
		s.AddPrior(len(in.log.Molds), x, p.y)
	}
	return s
}

// blocks are the sums of rows that know few columns each.
func (l powerLaw) blocks(in inputs, d design, weights []float64) *mixed.Blocks {
	sorts, of := d.sorts(in.log)
	blocks := mixed.NewBlocks(len(d.columns), d.randoms(), patternsOf(sorts))
	x, z := make([]float64, len(d.columns)), make([]float64, d.randoms())
	var block mixed.Block
	for m, sort := range of {
		known := &sorts[sort].design
		n := len(known.columns)
		block.Begin(n, d.randoms())
		for i := in.first[m]; i < in.first[m+1]; i++ {
			r := &in.rows[i]
			known.fillX(r, x[:n])
			known.fillZ(r, z)
			block.Add(x[:n], z, r.logWall-l.offset(r.logT), weights[i])
		}
		blocks.Append(int(sort), &block)
	}
	for _, p := range l.priors(d, 0) {
		clear(x)
		x[p.column] = p.x
		blocks.Prior(x, p.y)
	}
	return blocks
}

func (l powerLaw) course(d design, r row, beta, b []float64) Course {
	x, z := make([]float64, len(beta)), make([]float64, len(b))
	at := func(logT, age float64) float64 {
		r.logT, r.age = logT, age
		return logWallBy(l, &d, &r, beta, b, x, z)
	}
	base := at(0, 0)
	return PowerCourse{Base: base, Exponent: at(1, 0) - base, Slope: at(0, 1) - base}
}

// PowerCourse is log wall = Base + Exponent·log dwell + Slope·age.
type PowerCourse struct {
	Base     float64
	Exponent float64
	Slope    float64
}

// DwellNeeded is exp((log L − Base − Slope·n)/Exponent), +Inf where a wall does
// not grow with dwell.
func (c PowerCourse) DwellNeeded(wallMM, age float64) float64 {
	if c.Exponent <= 0 {
		return math.Inf(1)
	}
	return math.Exp((math.Log(wallMM) - c.Base - c.Slope*age) / c.Exponent)
}

// LastAge is (log L − Base − Exponent·log t)/Slope.
func (c PowerCourse) LastAge(wallMM, dwellMin float64) float64 {
	if c.Slope >= 0 {
		return math.Inf(1)
	}
	return (math.Log(wallMM) - c.Base - c.Exponent*math.Log(dwellMin)) / c.Slope
}

// inverse is exp(−(Base + Slope·n)/Exponent)·L^(1/Exponent).
func (c PowerCourse) inverse(age float64) (a, power, b float64) {
	return math.Exp(-(c.Base + c.Slope*age) / c.Exponent), 1 / c.Exponent, 0
}

func (c PowerCourse) elasticity(float64, float64) float64 { return c.Exponent }
