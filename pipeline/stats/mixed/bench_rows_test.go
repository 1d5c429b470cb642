package mixed

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// BenchmarkRows takes in rows of random lines with three fixed effects, in an
// order drawn at random, of groups that fit into a cache and of groups that do
// not. Time a row should hardly grow.
func BenchmarkRows(b *testing.B) {
	for _, groups := range []int{200, 2000, 20000, 200000} {
		b.Run(fmt.Sprintf("groups=%d", groups), func(b *testing.B) {
			const rows = 1 << 22
			r := rand.New(rand.NewPCG(3, 5))
			group, t, u, y := make([]int32, rows), make([]float64, rows), make([]float64, rows), make([]float64, rows)
			for i := range rows {
				group[i], t[i], u[i], y[i] = int32(r.IntN(groups)), r.NormFloat64(), r.Float64(), r.NormFloat64()
			}
			s := NewSums(3, 2)
			x := []float64{1, 0, 0}
			for i := range rows {
				x[1], x[2] = t[i], u[i]
				s.Add(int(group[i]), x, x[:2], y[i], 1)
			}
			i := 0
			for b.Loop() {
				x[1], x[2] = t[i], u[i]
				s.Add(int(group[i]), x, x[:2], y[i], 1)
				i = (i + 1) % rows
			}
		})
	}
}
