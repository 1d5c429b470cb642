package plaster

import (
	"fmt"
	"testing"

	made "moldwright/fixtures/invented"
	"moldwright/pipeline/tables"
)

// BenchmarkLog shows what the balance of plaster takes from a log of casts:
// ns/cast. What follows depends on the pours.
func BenchmarkLog(b *testing.B) {
	for _, casts := range []int{1e3, 1e4, 1e5, 1e6} {
		b.Run(fmt.Sprintf("%.0e", float64(casts)), func(b *testing.B) {
			log, studio := made.Log(casts, 36)
			for b.Loop() {
				linkMolds(studio, log, nil, numbers{})
				splitCasts(log, log.AsOf)
				WithLives([]tables.MoldCost{{Kind: "split"}}, log, nil)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(log.Casts)), "ns/cast")
		})
	}
}
