package ingest

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// folder writes files into a new folder called logs and gives its path.
func folder(t testing.TB, files map[string]string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "logs")
	require.NoError(t, os.MkdirAll(dir, 0o755))
	for name, content := range files {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(content), 0o600))
	}
	return dir
}

// readAll reads paths and checks that the account of every sheet closes.
func readAll(t testing.TB, opt Options, paths ...string) Result {
	t.Helper()
	sources, err := Find(paths)
	require.NoError(t, err)
	res, err := Read(context.Background(), sources, opt)
	require.NoError(t, err)
	t.Cleanup(res.Studio.Release)
	for _, f := range res.Reading.Files {
		for _, s := range f.Sheets {
			require.Equal(t, s.RowsRead, s.RowsUsed+s.RowsAside+s.RowsNoData, "%s %s", f.Name, s.Name)
		}
	}
	return res
}

func readText(t testing.TB, name, content string) Result {
	t.Helper()
	return readAll(t, Options{}, folder(t, map[string]string{name: content}))
}

// codes lists the codes of the problems, sorted, those that repeat included.
func codes(problems []tables.Problem) []string {
	var out []string
	for _, p := range problems {
		out = append(out, p.Code)
	}
	slices.Sort(out)
	return out
}

// find is the first problem of that code.
func find(t testing.TB, res Result, code string) tables.Problem {
	t.Helper()
	for _, p := range res.Problems {
		if p.Code == code {
			return p
		}
	}
	require.Failf(t, "no such problem", "%s among %v", code, codes(res.Problems))
	return tables.Problem{}
}

func casts(res Result) []tables.Cast {
	var out []tables.Cast
	for _, c := range res.Studio.Casts.Rows() {
		out = append(out, c)
	}
	return out
}

// workbook writes rows onto the sheet Casts of a new workbook, lets change work
// on it, and gives its path.
func workbook(t testing.TB, rows [][]any, change func(*excelize.File), opts ...excelize.Options) string {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	require.NoError(t, f.SetSheetName("Sheet1", "Casts"))
	for i, row := range rows {
		cell, err := excelize.CoordinatesToCellName(1, i+1)
		require.NoError(t, err)
		require.NoError(t, f.SetSheetRow("Casts", cell, &row))
	}
	if change != nil {
		change(f)
	}
	path := filepath.Join(t.TempDir(), "log.xlsx")
	require.NoError(t, f.SaveAs(path, opts...))
	return path
}

var castHeader = []any{"Date", "Mold", "Dwell (min)", "Wall (mm)", "Result"}
