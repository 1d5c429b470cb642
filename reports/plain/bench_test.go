package plain

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/fixtures/invented"
	"moldwright/pipeline/wall"
)

// BenchmarkCastsUsed works out and writes the largest table: ns/cast.
func BenchmarkCastsUsed(b *testing.B) {
	for _, casts := range []int{1e4, 1e5, 1e6} {
		b.Run(fmt.Sprintf("%.0e", float64(casts)), func(b *testing.B) {
			log, studio := invented.Log(casts, 36)
			walls := wall.Run(log, studio, wall.Defaults())
			b.ReportAllocs()
			for b.Loop() {
				require.NoError(b, stream(walls.AllUsed()).write(b.TempDir()))
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(log.Casts)), "ns/cast")
		})
	}
}
