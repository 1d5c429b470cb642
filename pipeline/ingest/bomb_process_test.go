package ingest

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// bombPath names the file that a process of its own is to read.
const bombPath = "MOLDWRIGHT_READ_BOMB"

// readApart reads each workbook in a process of its own, which is this test
// again, so that the system tells its peak memory: below 256 MiB.
func readApart(t *testing.T, workbooks func(*testing.T) map[string][]byte, check func(*testing.T, Result)) {
	if path := os.Getenv(bombPath); path != "" {
		readBomb(t, path, check)
		return
	}
	if testing.Short() {
		t.Skip("slow")
	}
	self := t.Name()
	for name, data := range workbooks(t) {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "bomb.xlsx")
			require.NoError(t, os.WriteFile(path, data, 0o600))
			ctx, cancel := context.WithTimeout(context.Background(), 40*time.Second) // the bar is 10 s; a busy machine gets more
			defer cancel()
			cmd := exec.CommandContext(ctx, os.Args[0], "-test.run=^"+self+"$", "-test.v")
			cmd.Env = append(os.Environ(), bombPath+"="+path)
			out, err := cmd.CombinedOutput()
			require.NoError(t, err, string(out))
			t.Logf("%d kB: %s", len(data)/1000, firstLine(string(out), "peak"))
		})
	}
}

func firstLine(s, with string) string {
	for line := range strings.Lines(s) {
		if strings.Contains(line, with) {
			return strings.TrimSpace(line)
		}
	}
	return ""
}

// readBomb is the process that reads.
func readBomb(t *testing.T, path string, check func(*testing.T, Result)) {
	sources, err := Find([]string{path})
	require.NoError(t, err)
	start := time.Now()
	res, err := Read(context.Background(), sources, Options{})
	require.NoError(t, err)
	check(t, res)
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		t.Log("peak memory is not told by this system")
		return
	}
	var kB int
	_, after, _ := strings.Cut(string(status), "VmHWM:")
	fmt.Sscan(after, &kB)
	said := ""
	if len(res.Problems) > 0 {
		said = res.Problems[0].Message
	}
	t.Logf("peak %d MiB, %.1f s, %d casts: %s", kB/1024, time.Since(start).Seconds(), res.Studio.Casts.Len(), said)
	require.Less(t, kB, 256*1024)
}
