package wander

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// simulated draws units from the model, in two groups, with readings left out
// at random.
func simulated(units, readings int, noise, walk, levelSD, driftSD float64, seed uint64) []Unit {
	rng := rand.New(rand.NewPCG(seed, 1))
	out := make([]Unit, units)
	for i := range out {
		u := &out[i]
		group := i % 2
		u.Level, u.Drift = []float64{1, 0}, []float64{1, 0}
		if group == 1 {
			u.Level, u.Drift = []float64{0, 1}, []float64{0, 1}
		}
		level := 3 + float64(group) + levelSD*rng.NormFloat64()
		drift := 0.05 + 0.02*float64(group) + driftSD*rng.NormFloat64()
		age := 0.0
		for range readings {
			step := float64(1 + rng.IntN(2))
			age += step
			level += drift*step + math.Sqrt(walk*step)*rng.NormFloat64()
			u.Ages = append(u.Ages, age)
			u.Values = append(u.Values, level+noise*rng.NormFloat64())
		}
	}
	return out
}

// The cost of a fit grows as the number of readings.
func BenchmarkFit(b *testing.B) {
	for _, n := range []int{100, 1_000, 10_000, 100_000} {
		units := simulated(n/20, 20, 0.3, 0.01, 0.2, 0.02, 1)
		b.Run(fmt.Sprintf("readings=%d", n), func(b *testing.B) {
			for b.Loop() {
				_, err := Fit(units, Options{})
				require.NoError(b, err)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/reading")
		})
	}
}

func BenchmarkDraw(b *testing.B) {
	m, err := Fit(simulated(20, 30, 0.3, 0.01, 0.2, 0.02, 1), Options{})
	require.NoError(b, err)
	f := m.Forecast(0)
	rng := rand.New(rand.NewPCG(1, 2))
	for b.Loop() {
		p := f.Draw(rng)
		p.FirstPassage(func(float64) float64 { return 20 }, Above, 500)
	}
}
