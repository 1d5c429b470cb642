package plan

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"moldwright/fixtures/invented"
)

// BenchmarkLog shows what a plan learns from a log costs: ns/cast. What follows
// depends on the orders and on the molds in use.
func BenchmarkLog(b *testing.B) {
	for _, casts := range []int{1e3, 1e4, 1e5, 1e6} {
		b.Run(fmt.Sprintf("%.0e", float64(casts)), func(b *testing.B) {
			log, _ := invented.Log(casts, 36)
			for b.Loop() {
				learnRhythm(log, Rhythm{})
				learnRejects(log, false, 200, rand.New(rand.NewPCG(1, 1)))
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(log.Casts)), "ns/cast")
		})
	}
}
