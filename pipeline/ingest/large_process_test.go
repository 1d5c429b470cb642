package ingest

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// largePath names the file that a process of its own is to read.
const largePath = "MOLDWRIGHT_READ_LARGE"

// A CSV of 350 MB is read and its log built in less than 500 MiB: file and cells
// together would be three times that. The test runs only when asked, with
// MOLDWRIGHT_LARGE=1: it takes half a minute of processor time.
func TestMemoryGoesByCastsAndNotByBytesOfTheFile(t *testing.T) {
	const casts = 6_200_000
	if path := os.Getenv(largePath); path != "" {
		sources, err := Find([]string{path})
		require.NoError(t, err)
		res, err := Read(context.Background(), sources, Options{})
		require.NoError(t, err)
		log, _ := history.Build(res.Studio, tables.NoDate)
		require.Len(t, log.Casts, casts)
		read, used, aside, none := res.Reading.Rows()
		require.Equal(t, []int{casts + 1, casts, 0, 1}, []int{read, used, aside, none})
		last := log.Casts[log.Molds[len(log.Molds)-1].Last-1]
		require.EqualValues(t, last.Row+2, res.Studio.Casts.Origin(int(last.Row)).Row, "its place in the file is exact")
		fmt.Printf("peak %.0f MiB, %.1f bytes a cast\n", peakMiB(), peakMiB()*(1<<20)/casts)
		if peakMiB() > 0 {
			require.Less(t, peakMiB(), 500.0)
		}
		return
	}
	if os.Getenv("MOLDWRIGHT_LARGE") == "" {
		t.Skip("slow: MOLDWRIGHT_LARGE=1 runs it")
	}
	path := filepath.Join(t.TempDir(), "large.csv")
	writeFactoryCSV(t, path, casts)
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Greater(t, info.Size(), int64(300e6))
	ctx, cancel := context.WithTimeout(context.Background(), 8*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, os.Args[0], "-test.run=^"+t.Name()+"$", "-test.v")
	cmd.Env = append(os.Environ(), largePath+"="+path)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	t.Logf("%d MB: %s", info.Size()/1e6, firstLine(string(out), "peak"))
}
