package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"

	"moldwright/pipeline/codes"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestAnAccountThatDoesNotCloseHasAnExitCodeOfItsOwn injects the error, since
// no input may cause it.
func TestAnAccountThatDoesNotCloseHasAnExitCodeOfItsOwn(t *testing.T) {
	var out, errOut bytes.Buffer
	c := command{name: "check", setup: func(*pflag.FlagSet) func(context.Context, []string, terminal) error {
		return func(context.Context, []string, terminal) error {
			return fmt.Errorf("read: %w", &ingest.AccountError{Sheet: "Casts", Read: 3, Used: 1})
		}
	}}
	require.Equal(t, exitAccount, c.run(context.Background(), nil, terminal{&out, &errOut}))
	require.Contains(t, errOut.String(), `the account of sheet "Casts" does not close: 3 rows read, 1 used`)
	require.Contains(t, errOut.String(), "not of your files")
}

// TestCheckAsPeopleAndMachinesSeeIt compares both forms of the account with the
// golden files beside the messy folder.
func TestCheckAsPeopleAndMachinesSeeIt(t *testing.T) {
	root := filepath.Join("..", "..", "testdata", "ingest")
	for _, c := range []struct {
		file string
		args []string
	}{{"messy_check.txt", nil}, {"messy_check.json", []string{"--json"}}} {
		code, out, errOut := moldwright(t, append([]string{"check", filepath.Join(root, "messy")}, c.args...)...)
		require.Equal(t, exitDone, code, errOut)
		path := filepath.Join(root, c.file)
		if *update {
			require.NoError(t, os.WriteFile(path, []byte(out), 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, string(want), out)
	}
}

// TestThePageOfProblemsIsThatOfTheProgram holds that the page beside the code
// says what the program does.
func TestThePageOfProblemsIsThatOfTheProgram(t *testing.T) {
	var limits []codes.Limit
	for _, l := range ingest.Limits() {
		limits = append(limits, codes.Limit(l))
	}
	require.Greater(t, len(limits), 30)
	path := filepath.Join("..", "..", "pipeline", "PROBLEMS.md")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(codes.Page(limits)), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), codes.Page(limits), "go test ./cmd/moldwright -update writes the page anew")
}

// TestThePageOfColumnsIsThatOfTheDeclarations holds that the page beside the
// code names every column as the program reads and writes it.
func TestThePageOfColumnsIsThatOfTheDeclarations(t *testing.T) {
	path := filepath.Join("..", "..", "pipeline", "COLUMNS.md")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(tables.Page()), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), tables.Page(), "go test ./cmd/moldwright -update writes the page anew")
}

func TestExplainACode(t *testing.T) {
	code, out, _ := moldwright(t, "check", "--explain", "spelling-joined")
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "Two spellings of a name were taken for one.")
	code, _, errOut := moldwright(t, "check", "--explain", "nonsense")
	require.Equal(t, exitUsage, code)
	require.Contains(t, errOut, `no problem code "nonsense"`)
}

// TestASheetThatWasGivenUpIsReadWithTheMappingThatCheckPrints goes the whole
// way: check gives up and writes a mapping, it is filled in, and all is read.
func TestASheetThatWasGivenUpIsReadWithTheMappingThatCheckPrints(t *testing.T) {
	dir := t.TempDir()
	log, settled := filepath.Join(dir, "guss.csv"), filepath.Join(dir, "guss.toml")
	require.NoError(t, os.WriteFile(log, []byte("Gussform;Tag;Standzeit;Scherben;Urteil\nA1;2025-03-01;20;5,1;gut\nA1;2025-03-02;25;5,6;schlecht\n"), 0o600))
	code, out, errOut := moldwright(t, "check", "--write-mapping", settled, log)
	require.Equal(t, exitNothing, code)
	require.Contains(t, out, "not used: ")
	require.Contains(t, out, `"Gussform" = ""`)
	require.Contains(t, errOut, "No sheet was recognised")

	text, err := os.ReadFile(settled)
	require.NoError(t, err)
	filled := strings.NewReplacer(
		`"Gussform" = ""`, `"Gussform" = "mold"`, `"Tag" = ""`, `"Tag" = "date"`, `"Standzeit" = ""`, `"Standzeit" = "dwell (min)"`,
		`"Scherben" = ""`, `"Scherben" = "wall (mm)"`, `"Urteil" = ""`, `"Urteil" = "result"`,
		`# "gut" = "good"`, "\"gut\" = \"good\"\n  \"schlecht\" = \"reject\"",
	).Replace(string(text))
	require.NoError(t, os.WriteFile(settled, []byte(filled), 0o600))
	code, out, errOut = moldwright(t, "check", "--json", "--mapping", settled, log)
	require.Equal(t, exitDone, code, errOut)
	var account accountJSON
	require.NoError(t, json.Unmarshal([]byte(out), &account))
	require.Equal(t, rowsJSON{Read: 3, Used: 2, NotData: 1}, account.Rows)
	require.True(t, account.Files[0].Sheets[0].Mapped)
	require.Empty(t, account.Mapping)

	code, _, errOut = moldwright(t, "check", "--write-mapping", settled, log)
	require.Equal(t, exitNotWritten, code, "a file is never overwritten")
	require.Contains(t, errOut, "is kept; choose another name")
	require.NoError(t, os.WriteFile(settled, []byte("[[sheet]]\ntabel = \"casts\"\n"), 0o600))
	code, _, errOut = moldwright(t, "report", "-o", filepath.Join(dir, "out"), "--mapping", settled, log)
	require.Equal(t, exitUsage, code)
	require.Contains(t, errOut, "tabel")
}
