package pipeline

import (
	"testing"

	"moldwright/fixtures/studio"
	"moldwright/pipeline/history"
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
