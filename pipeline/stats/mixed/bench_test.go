package mixed

import (
	"math/rand/v2"
	"testing"
)

// manyGroups makes rows of random lines: p = 4 (a constant, time, a group's
// covariate, a row's covariate), q = 2, in an order that jumps between groups.
type manyGroups struct {
	group []int
	x, z  [][]float64
	y     []float64
}

func newManyGroups(groups, rows int) manyGroups {
	r := rand.New(rand.NewPCG(7, 11))
	type line struct{ b0, b1, cov float64 }
	lines := make([]line, groups)
	for i := range lines {
		lines[i] = line{0.3 * r.NormFloat64(), 0.02 * r.NormFloat64(), r.NormFloat64()}
	}
	var d manyGroups
	xs := make([]float64, 0, rows*4)
	for i := range rows {
		g := i % groups
		if i%7 == 0 {
			g = r.IntN(groups)
		}
		t, u := 10*r.Float64(), r.NormFloat64()
		l := lines[g]
		xs = append(xs, 1, t, l.cov, u)
		x := xs[4*i : 4*i+4 : 4*i+4]
		d.group = append(d.group, g)
		d.x, d.z = append(d.x, x), append(d.z, x[:2:2])
		d.y = append(d.y, 2-0.1*t+0.2*l.cov+0.05*u+l.b0+l.b1*t+0.2*r.NormFloat64())
	}
	return d
}

func (d *manyGroups) sums() *Sums {
	s := NewSums(4, 2)
	for i, g := range d.group {
		s.Add(g, d.x[i], d.z[i], d.y[i], 1)
	}
	return s
}

// BenchmarkAdd takes in 1,000,000 rows of 20,000 groups.
func BenchmarkAdd(b *testing.B) {
	d := newManyGroups(20000, 1000000)
	for b.Loop() {
		d.sums()
	}
}

// BenchmarkFit fits 20,000 groups, q = 2, p = 4.
func BenchmarkFit(b *testing.B) {
	d := newManyGroups(20000, 1000000)
	s := d.sums()
	for b.Loop() {
		m, err := Fit(s, REML)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(m.Evals), "evaluations")
	}
}

// BenchmarkProfile finds all profile limits of that fit.
func BenchmarkProfile(b *testing.B) {
	d := newManyGroups(20000, 1000000)
	m, err := Fit(d.sums(), REML)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := m.Profile(0.95); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkPredict predicts one row of a known group.
func BenchmarkPredict(b *testing.B) {
	d := newManyGroups(2000, 20000)
	m, err := Fit(d.sums(), REML)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		m.Predict(5, d.x[0], d.z[0])
	}
}
