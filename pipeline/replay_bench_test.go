package pipeline

import (
	"fmt"
	"testing"

	"moldwright/fixtures/studio"
	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// The demo's studio: two years, 14 molds on the shelf, some 850 casts.
func BenchmarkReplayDemo(b *testing.B) {
	invented, _ := studio.Generate(7, studio.Defaults())
	in := invented.Studio()
	defer in.Release()
	log, _ := history.Build(in, invented.End)
	for b.Loop() {
		replay(log, in, Defaults())
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(log.Casts)), "ns/cast")
}

const tenYears = 3650 // days

// The replay's cost grows with the casts until it is bounded.
func BenchmarkReplay(b *testing.B) {
	for _, casts := range []int{1e3, 1e4, 1e5, 1e6} {
		b.Run(fmt.Sprintf("casts=%d", casts), func(b *testing.B) {
			in := factory(casts, tenYears)
			defer in.Release()
			log, _ := history.Build(in, tables.NoDate)
			for b.Loop() {
				replay(log, in, Defaults())
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(log.Casts)), "ns/cast")
		})
	}
}

// The forecasts' cost grows as the molds in use, once learning from casts is bounded.
func BenchmarkLives(b *testing.B) {
	for _, casts := range []int{1e3, 1e4, 1e5, 1e6} {
		b.Run(fmt.Sprintf("casts=%d", casts), func(b *testing.B) {
			in := factory(casts, tenYears)
			defer in.Release()
			log, _ := history.Build(in, tables.NoDate)
			walls := wall.Run(log, in, wall.Defaults())
			for b.Loop() {
				life.Run(log, in, walls, life.Defaults(), 1)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(log.Casts)), "ns/cast")
			used := 0
			for _, m := range log.Molds {
				if m.InUse() {
					used++
				}
			}
			b.ReportMetric(float64(used), "in-use")
		})
	}
}

// A log of which most molds are in use: what each of them costs.
func BenchmarkLivesOfMoldsInUse(b *testing.B) {
	in := factory(150_000, 120)
	defer in.Release()
	log, _ := history.Build(in, tables.NoDate)
	walls := wall.Run(log, in, wall.Defaults())
	used := 0
	for b.Loop() {
		used = len(life.Run(log, in, walls, life.Defaults(), 1).Remaining)
	}
	b.ReportMetric(float64(used), "in-use")
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*used), "ns/in-use")
}
