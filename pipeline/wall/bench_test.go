package wall

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

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
