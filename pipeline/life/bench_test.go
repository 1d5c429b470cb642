package life

import (
	"fmt"
	"testing"

	"moldwright/fixtures/studio"
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// The demo's studio: two years, 14 molds on the shelf, some 850 casts.
func BenchmarkDemo(b *testing.B) {
	log, _ := studio.Generate(7, studio.Defaults())
	in := log.Studio()
	defer in.Release()
	hist, _ := history.Build(in, log.End)
	walls := wall.Run(hist, in, wall.Defaults())
	for b.Loop() {
		Run(hist, in, walls, Defaults(), 1)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(hist.Casts)), "ns/cast")
}

// The cost of the answer grows as the number of casts.
func BenchmarkCasts(b *testing.B) {
	for _, molds := range []int{20, 80, 320} {
		ages := make([]int, molds)
		for m := range ages {
			ages[m] = 20 + m%30
		}
		s := shelfOf(0, nil, ages...)
		hist, _ := history.Build(s, tables.NoDate)
		walls := wall.Run(hist, s, wall.Defaults())
		b.Run(fmt.Sprintf("casts=%d", len(hist.Casts)), func(b *testing.B) {
			for b.Loop() {
				Run(hist, s, walls, Defaults(), 1)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(hist.Casts)), "ns/cast")
		})
	}
}
