package ingest

import (
	"bytes"
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestAMessyFolder reads a folder of logs such as people keep and compares the
// account and all problems with the golden files beside it.
func TestAMessyFolder(t *testing.T) {
	root := filepath.Join("..", "..", "testdata", "ingest")
	res := readAll(t, Options{}, filepath.Join(root, "messy"))
	golden(t, filepath.Join(root, "messy_problems.csv"), problemTable(t, res.Problems))
	golden(t, filepath.Join(root, "messy_account.txt"), accountText(res))

	again := readAll(t, Options{}, filepath.Join(root, "messy"))
	require.Equal(t, problemTable(t, res.Problems), problemTable(t, again.Problems), "the same inputs give the same bytes")
}

func problemTable(t *testing.T, problems []tables.Problem) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	require.NoError(t, w.Write(tables.Of[tables.Problem]().Names()))
	for _, p := range problems {
		require.NoError(t, w.Write([]string{p.File, p.Sheet, p.Cell, p.Code, p.Severity, p.Value, p.Message, p.Mend}))
	}
	w.Flush()
	return b.Bytes()
}

func accountText(res Result) []byte {
	var b bytes.Buffer
	for _, f := range res.Reading.Files {
		fmt.Fprintf(&b, "%s %s\n", f.Name, strings.TrimSpace(f.Unreadable+f.Skipped))
		for _, s := range f.Sheets {
			fmt.Fprintf(&b, "  %s header %d: read %d, used %d, aside %d, no data %d %s\n", s.Table, s.HeaderRow, s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData, s.Why)
			for _, c := range s.Columns {
				fmt.Fprintf(&b, "    %s %q -> %s %s\n", c.Letter, c.Header, c.Column, c.Unit)
			}
		}
	}
	s := res.Studio
	for _, m := range s.Molds.Rows() {
		fmt.Fprintf(&b, "%+v\n", m)
	}
	for _, p := range s.Pours.Rows() {
		fmt.Fprintf(&b, "%+v\n", p)
	}
	for _, g := range s.Gaps.Rows() {
		fmt.Fprintf(&b, "%+v\n", g)
	}
	for _, c := range s.Casts.Rows() {
		fmt.Fprintf(&b, "%+v\n", c)
	}
	for _, x := range s.Slips.Rows() {
		fmt.Fprintf(&b, "%+v\n", x)
	}
	for _, f := range s.Forms.Rows() {
		fmt.Fprintf(&b, "%+v\n", f)
	}
	for _, o := range s.Orders.Rows() {
		fmt.Fprintf(&b, "%+v\n", o)
	}
	return b.Bytes()
}

func golden(t *testing.T, path string, got []byte) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), string(got))
}
