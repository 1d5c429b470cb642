package watch

import (
	"fmt"
	"testing"

	"moldwright/fixtures/invented"
	"moldwright/pipeline/wall"
)

// BenchmarkRun shows that a log's cost grows with its casts: ns/cast.
func BenchmarkRun(b *testing.B) {
	for _, casts := range []int{1e3, 1e4, 1e5, 1e6, 1e7} {
		b.Run(fmt.Sprintf("%.0e", float64(casts)), func(b *testing.B) {
			if casts > 1e6 && testing.Short() {
				b.Skip("large")
			}
			log, studio := invented.Log(casts, 36)
			walls := wall.Run(log, studio, wall.Defaults())
			b.ReportAllocs()
			for b.Loop() {
				if a := Run(log, walls, nil, Defaults()); a.WhyNot != "" {
					b.Fatal(a.WhyNot)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(log.Casts)), "ns/cast")
		})
	}
}
