package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest"
)

const foreign = "Gussform;Tag;Standzeit;Scherben\nA1;2025-03-01;20;5,1\nA1;2025-03-02;25;5,6\n"

func TestNoMappingIsAskedForTheGuideOrASheetLeftOut(t *testing.T) {
	dir := t.TempDir()
	blank, log, settled := filepath.Join(dir, "log.xlsx"), filepath.Join(dir, "guss.csv"), filepath.Join(dir, "m.toml")
	code, _, errOut := moldwright(t, "template", "-o", blank)
	require.Equal(t, exitDone, code, errOut)
	_, out, _ := moldwright(t, "check", blank)
	require.NotContains(t, out, "[[sheet]]")

	require.NoError(t, os.WriteFile(log, []byte(foreign), 0o600))
	require.NoError(t, os.WriteFile(settled, []byte("[[sheet]]\nfile = \"guss.csv\"\nleave_out = true\n"), 0o600))
	_, out, _ = moldwright(t, "check", log)
	require.Contains(t, out, "[[sheet]]")
	_, out, _ = moldwright(t, "check", "--mapping", settled, log)
	require.NotContains(t, out, "[[sheet]]")
}

func TestAUnitOfTheMappingThatIsNotKnownIsNotGuessed(t *testing.T) {
	dir := t.TempDir()
	log, settled := filepath.Join(dir, "guss.csv"), filepath.Join(dir, "m.toml")
	require.NoError(t, os.WriteFile(log, []byte(foreign), 0o600))
	text := "[[sheet]]\ntable = \"casts\"\n[sheet.columns]\nGussform = \"mold\"\nTag = \"date\"\nStandzeit = \"dwell (furlong)\"\nScherben = \"wall (mm)\"\n"
	require.NoError(t, os.WriteFile(settled, []byte(text), 0o600))
	code, _, errOut := moldwright(t, "check", "--mapping", settled, log)
	require.Equal(t, exitUsage, code)
	require.Contains(t, errOut, `column "Standzeit"`)
	require.Contains(t, errOut, "furlong")
}

// TestTheAccountFitsTheWindow draws the messy folder and a sheet that was given
// up, with its mapping file.
func TestTheAccountFitsTheWindow(t *testing.T) {
	log := filepath.Join(t.TempDir(), "guss.csv")
	require.NoError(t, os.WriteFile(log, []byte(foreign), 0o600))
	sources, err := ingest.Find([]string{filepath.Join("..", "..", "testdata", "ingest", "messy"), log})
	require.NoError(t, err)
	read, err := ingest.Read(context.Background(), sources, ingest.Options{})
	require.NoError(t, err)
	defer read.Studio.Release()
	for _, width := range []int{80, 100} {
		var out bytes.Buffer
		account{reading: read.Reading, problems: read.Problems, drafts: drafts(read.Reading)}.write(&out, width)
		for line := range strings.Lines(out.String()) {
			line = strings.TrimSuffix(line, "\n")
			require.LessOrEqual(t, len([]rune(line)), width, line)
		}
	}
}
