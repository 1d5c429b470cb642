package wall

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/fixtures/invented"

	"moldwright/fixtures"
	"moldwright/pipeline/history"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
)

// demoLog is the log of the demo studio.
func demoLog(tb testing.TB) (history.Log, tables.Studio) {
	tb.Helper()
	dir := filepath.Join(tb.TempDir(), "studio")
	require.NoError(tb, os.CopyFS(dir, fixtures.Demo()))
	sources, err := ingest.Find([]string{dir})
	require.NoError(tb, err)
	read, err := ingest.Read(context.Background(), sources, ingest.Options{})
	require.NoError(tb, err)
	log, _ := history.Build(read.Studio, tables.NoDate)
	return log, read.Studio
}

func BenchmarkDemo(b *testing.B) {
	log, studio := demoLog(b)
	for b.Loop() {
		Run(log, studio, Defaults())
	}
}

// BenchmarkRun shows that a log's cost grows with its casts: ns/cast.
func BenchmarkRun(b *testing.B) {
	for _, casts := range []int{1e3, 1e4, 1e5, 1e6, 1e7} {
		b.Run(fmt.Sprintf("%.0e", float64(casts)), func(b *testing.B) {
			if casts > 1e6 && testing.Short() {
				b.Skip("large")
			}
			log, studio := invented.Log(casts, 36)
			b.ReportAllocs()
			for b.Loop() {
				if a := Run(log, studio, Defaults()); !a.Fitted {
					b.Fatal(a.WhyNot)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(log.Casts)), "ns/cast")
		})
	}
}
