package ingest

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest/grid"
)

func TestAMillionColumns(t *testing.T) {
	var header, row strings.Builder
	header.WriteString("date,mold,dwell (min),wall (mm)")
	row.WriteString("2025-03-01,A,20,5")
	for i := range 1_000_000 {
		header.WriteString(",c" + strconv.Itoa(i))
		row.WriteString(",1")
	}
	start := time.Now()
	res := readText(t, "wide.csv", header.String()+"\n"+row.String()+"\n")
	t.Logf("%.1f s", time.Since(start).Seconds())
	require.Equal(t, 1, res.Studio.Casts.Len(), "what stands within the columns that are read is read")
	told := false
	for _, p := range res.Problems {
		require.Less(t, len(p.Message)+len(p.Value), 50_000, p.Code)
		told = told || strings.Contains(p.Message, "16,384") || strings.Contains(p.Message, "16384")
	}
	require.True(t, told, "columns beyond the limit are told of: %v", codes(res.Problems))
}

func TestLinesAboveTheLimitAreRefused(t *testing.T) {
	long := strings.Repeat("x", grid.MaxLine)
	for name, text := range map[string]string{"plain": oneCast + long + "y\n", "quoted": oneCast + `2025-03-02,"` + long + "\n", "first": long + "y"} {
		t.Run(name, func(t *testing.T) {
			dir := folder(t, map[string]string{"a.csv": text, "good.csv": oneCast})
			res := readAll(t, Options{}, dir)
			require.Equal(t, 1, res.Studio.Casts.Len())
			require.Contains(t, res.Reading.Files[0].Unreadable, "a line of more than 16 MiB")
			require.Contains(t, find(t, res, CodeUnreadableFile).Mend, "a line for each row")
		})
	}
	res := readText(t, "a.csv", oneCast+"2025-03-02,"+long[:grid.MaxLine-100]+",20,5\n")
	require.Equal(t, 1, res.Studio.Casts.Len(), "a line within the limit is a row, and its cell is too long")
	find(t, res, CodeCellTooLong)
}

// TestALineOf1GiB writes a file as large as is read, of one line.
func TestALineOf1GiB(t *testing.T) {
	if testing.Short() {
		t.Skip("writes 1 GiB")
	}
	dir := folder(t, map[string]string{"good.csv": oneCast})
	f, err := os.Create(filepath.Join(dir, "line.csv"))
	require.NoError(t, err)
	piece := bytes.Repeat([]byte("x"), 1<<20)
	for range 1 << 10 {
		if _, err := f.Write(piece); err != nil {
			f.Close()
			t.Skip("no room here:", err)
		}
	}
	require.NoError(t, f.Close())
	start := time.Now()
	res := readAll(t, Options{}, dir)
	t.Logf("%.1f s", time.Since(start).Seconds())
	require.Equal(t, 1, res.Studio.Casts.Len())
	require.Contains(t, res.Reading.Files[1].Unreadable, "a line of more than 16 MiB")
}

func TestDeepAndExternalThingsInWorkbooks(t *testing.T) {
	parts := smallWorkbook(t)
	parts["xl/externalLinks/externalLink1.xml"] = []byte(`<externalLink ` + mainSpace + `><externalBook r:id="rId1"/></externalLink>`)
	parts["xl/externalLinks/_rels/externalLink1.xml.rels"] = []byte(`<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLinkPath" Target="file:///etc/passwd" TargetMode="External"/></Relationships>`)
	parts["../../../../tmp/escaped.xml"] = []byte("<a/>")
	data := packed(t, parts, func(w *zip.Writer) {
		for _, name := range []string{"xl/externalLinks/externalLink1.xml", "xl/externalLinks/_rels/externalLink1.xml.rels", "../../../../tmp/escaped.xml", "/etc/escaped.xml"} {
			p, err := w.Create(name)
			if err == nil {
				_, err = io.Copy(p, bytes.NewReader(parts[name]))
			}
			require.NoError(t, err)
		}
	})
	path := filepath.Join(folder(t, map[string]string{"a.xlsx": string(data)}), "a.xlsx")
	res := readAll(t, Options{}, path)
	require.Equal(t, 2, res.Studio.Casts.Len(), "what links lead to is not looked at")
	require.NoFileExists(t, "/etc/escaped.xml")
}
