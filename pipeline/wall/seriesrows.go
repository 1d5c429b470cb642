package wall

import "math"

// seriesRows are rows in the columns of a design, worked out once for the many times
// that a fit of the filtration law asks for them.
type seriesRows struct {
	design  design
	ages    []bool    // by column
	x       []float64 // rows × columns
	dwell   []float64 // min
	age     []float64 // casts
	columns int
}

func seriesRowsOf(in inputs, d design) *seriesRows {
	p := len(d.columns)
	s := &seriesRows{design: d, ages: make([]bool, p), columns: p,
		x: make([]float64, len(in.rows)*p), dwell: make([]float64, len(in.rows)), age: make([]float64, len(in.rows))}
	for j, c := range d.columns {
		s.ages[j] = c.ages
	}
	for i := range in.rows {
		r := in.rows[i]
		s.dwell[i], s.age[i] = math.Exp(r.logT), r.age
		for j, c := range d.columns {
			s.x[i*p+j] = c.of(r)
		}
	}
	return s
}

// logWall is filtrationLaw.logWall of row i.
func (s *seriesRows) logWall(i int, beta, b, byBeta, byB []float64) float64 {
	x := s.x[i*s.columns : (i+1)*s.columns]
	var logA, mold float64
	for j, v := range x {
		if s.ages[j] {
			mold += v * beta[j]
		} else {
			logA += v * beta[j]
		}
	}
	if s.design.pooled {
		logA += b[0]
	}
	if s.design.slopes {
		mold += b[1] * s.age[i]
	}
	a := math.Exp(logA)
	wall, root := seriesWall(a, mold, s.dwell[i])
	byLogA, byMold := -a*wall/root, -1/root
	for j, v := range x {
		if s.ages[j] {
			byBeta[j] = v * byMold
		} else {
			byBeta[j] = v * byLogA
		}
	}
	clear(byB)
	if s.design.pooled {
		byB[0] = byLogA
	}
	if s.design.slopes {
		byB[1] = byMold * s.age[i]
	}
	return math.Log(wall)
}
