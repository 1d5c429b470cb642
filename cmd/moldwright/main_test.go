package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/fixtures"
	"moldwright/pipeline/tables"
	"moldwright/reports/runrecord"
)

// moldwright runs the program and returns its exit code and what it wrote.
func moldwright(t *testing.T, args ...string) (code int, out, errOut string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(context.Background(), args, &o, &e)
	return code, o.String(), e.String()
}

// demoStudio is the demo studio's spreadsheets in a folder of the test's own.
func demoStudio(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "studio")
	require.NoError(t, os.CopyFS(dir, fixtures.Demo()))
	return dir
}

// files are all files below a folder, by slash path.
func files(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	require.NoError(t, fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(filepath.Join(dir, path))
		all[path] = data
		return err
	}))
	return all
}

func TestEveryCommandHelps(t *testing.T) {
	code, out, _ := moldwright(t, "--help")
	require.Equal(t, exitDone, code)
	for _, c := range commands() {
		require.Contains(t, out, c.usage())
		code, help, _ := moldwright(t, c.name, "--help")
		require.Equal(t, exitDone, code, c.name)
		require.Contains(t, help, c.usage())
	}
}

func TestWrongCommandLines(t *testing.T) {
	for _, args := range [][]string{
		{}, {"repotr"}, {"report"}, {"report", "-o", "x"}, {"report", "file.csv"}, {"report", "--nonsense"}, {"check"},
		{"demo", "file.csv"}, {"template"}, {"template", "-o", "log.csv"}, {"report", "-o", "x", "--as-of", "soon", "."},
		{"report", "-o", "x", "--units", "imperial", "."}, {"report", "-o", "x", "--paper", "a3", "."}, {"plan", "-o", "x", "--write-dates", "month-first", "."},
	} {
		code, out, errOut := moldwright(t, args...)
		require.Equal(t, exitUsage, code, "%v", args)
		require.Empty(t, out, "%v", args)
		require.NotEmpty(t, errOut, "%v", args)
	}
}

func TestTheDemoGivesAWholeReportAndTheSameBytesTwice(t *testing.T) {
	dir := t.TempDir()
	one, two := filepath.Join(dir, "one"), filepath.Join(dir, "two")
	code, out, errOut := moldwright(t, "demo", "-o", one)
	require.Equal(t, exitDone, code, errOut)
	require.Empty(t, errOut, "nothing but results where no terminal is")
	require.Contains(t, out, "report.xlsx")
	code, out, _ = moldwright(t, "demo", "-q", "-o", two)
	require.Equal(t, exitDone, code)
	require.Empty(t, out)

	a, b := files(t, one), files(t, two)
	require.Len(t, b, len(a))
	for name, data := range a {
		if name != "run.json" {
			require.True(t, bytes.Equal(data, b[name]), name)
		}
	}
	for _, table := range []string{"wall_fit", "mold_state", "dwell_guide", "remaining_casts", "life_fit", "life_causes", "hindcast", "watch", "pour_waste", "waste_by", "overmix", "cut_depth", "budget", "casts_used", "problems"} {
		rows, err := csv.NewReader(bytes.NewReader(a["tables/"+table+".csv"])).ReadAll()
		require.NoError(t, err, table)
		require.Greater(t, len(rows), 1, "%s has rows in the demo", table)
		require.Contains(t, a, "tables/"+table+".parquet")
	}
	var record runrecord.Record
	require.NoError(t, json.Unmarshal(a["run.json"], &record))
	require.Equal(t, record.Rows.Read, record.Rows.Used+record.Rows.SetAside+record.Rows.NotData)
	require.Greater(t, record.Answers.CastsUsed, 800)
	require.Positive(t, record.Answers.MoldsFlagged, "the demo has molds that wear early")
	for _, in := range record.Inputs {
		require.Len(t, in.SHA256, 64, in.File)
	}
}

func TestReportReadsFilesAndFoldersAlike(t *testing.T) {
	studio := demoStudio(t)
	var paths []string
	entries, err := os.ReadDir(studio)
	require.NoError(t, err)
	for _, e := range entries {
		paths = append([]string{filepath.Join(studio, e.Name())}, paths...)
	}
	out := filepath.Join(t.TempDir(), "out")
	code, text, errOut := moldwright(t, "report", "-o", out, "--json", studio)
	require.Equal(t, exitDone, code, errOut)
	var folder, apart runrecord.Record
	require.NoError(t, json.Unmarshal([]byte(text), &folder))
	code, text, errOut = moldwright(t, append([]string{"report", "--json", "-o", out}, paths...)...)
	require.Equal(t, exitDone, code, errOut)
	require.NoError(t, json.Unmarshal([]byte(text), &apart))
	require.Equal(t, folder.Answers, apart.Answers)
	require.Equal(t, folder.Rows, apart.Rows)
}

func TestInputsAreNotTouched(t *testing.T) {
	studio := demoStudio(t)
	before := files(t, studio)
	code, _, errOut := moldwright(t, "report", "-q", "-o", filepath.Join(t.TempDir(), "out"), studio)
	require.Equal(t, exitDone, code, errOut)
	require.Equal(t, before, files(t, studio))
	code, _, errOut = moldwright(t, "report", "-o", studio, studio)
	require.NotEqual(t, exitDone, code)
	require.Contains(t, errOut, "choose another folder")
	require.Equal(t, before, files(t, studio))
}

// badInput makes inputs that nothing can be read from.
func badInput(t *testing.T) map[string]string {
	dir := t.TempDir()
	workbook := func(name string, opts excelize.Options, rows ...[]any) string {
		f := excelize.NewFile()
		defer f.Close()
		for i, r := range rows {
			cell, err := excelize.CoordinatesToCellName(1, i+1)
			require.NoError(t, err)
			require.NoError(t, f.SetSheetRow("Sheet1", cell, &r))
		}
		path := filepath.Join(dir, name)
		require.NoError(t, f.SaveAs(path, opts))
		return path
	}
	headers := []any{"Date", "Mold", "Dwell (min)", "Wall (mm)"}
	empty := filepath.Join(dir, "empty")
	require.NoError(t, os.Mkdir(empty, 0o755))
	good := workbook("whole.xlsx", excelize.Options{}, headers)
	data, err := os.ReadFile(good)
	require.NoError(t, err)
	truncated := filepath.Join(dir, "truncated.xlsx")
	require.NoError(t, os.WriteFile(truncated, data[:len(data)/2], 0o644))
	nothing := filepath.Join(dir, "nothing.xlsx")
	require.NoError(t, os.WriteFile(nothing, nil, 0o644))
	return map[string]string{
		"an empty folder":        empty,
		"a missing path":         filepath.Join(dir, "nowhere"),
		"no recognisable sheet":  workbook("other.xlsx", excelize.Options{}, []any{"Shopping", "Amount"}, []any{"eggs", 12}),
		"password-protected":     workbook("locked.xlsx", excelize.Options{Password: "secret"}, headers),
		"truncated":              truncated,
		"no bytes":               nothing,
		"headers only":           workbook("headers.xlsx", excelize.Options{}, headers),
		"all rows unusable":      workbook("unusable.xlsx", excelize.Options{}, headers, []any{"2025-03-01", "", "soon", "thick"}, []any{"", "", 20, 5}),
		"not what its name says": writeText(t, dir),
	}
}

func writeText(t *testing.T, dir string) string {
	path := filepath.Join(dir, "letter.xlsx")
	require.NoError(t, os.WriteFile(path, []byte("Dear all, the plaster has arrived."), 0o644))
	return path
}

func TestBadInputEndsWithOneMessageAndLeavesOutAlone(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	code, _, errOut := moldwright(t, "report", "-q", "-o", out, demoStudio(t))
	require.Equal(t, exitDone, code, errOut)
	before := files(t, out)
	for name, path := range badInput(t) {
		t.Run(name, func(t *testing.T) {
			code, text, errOut := moldwright(t, "report", "-o", out, path)
			require.Equal(t, exitNothing, code, errOut)
			require.Empty(t, text)
			require.Equal(t, 1, strings.Count(strings.TrimSpace(errOut), "moldwright report:"), errOut)
			require.NotContains(t, errOut, "internal error")
			t.Log(errOut)
			require.Equal(t, before, files(t, out))

			code, _, errOut = moldwright(t, "check", path)
			require.Equal(t, exitNothing, code)
			require.NotEmpty(t, errOut)
		})
	}
}

func TestAnOutThatCannotBeWritten(t *testing.T) {
	taken := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(taken, "thesis.txt"), []byte("mine"), 0o644))
	code, _, errOut := moldwright(t, "report", "-q", "-o", taken, demoStudio(t))
	require.Equal(t, exitNotWritten, code)
	require.Contains(t, errOut, "thesis.txt")
	require.Len(t, files(t, taken), 1)
}

func TestAnInterruptedRunLeavesNothing(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	out := filepath.Join(t.TempDir(), "out")
	var o, e bytes.Buffer
	require.Equal(t, exitInterrupted, run(ctx, []string{"report", "-o", out, demoStudio(t)}, &o, &e), e.String())
	require.NoDirExists(t, out)
	entries, err := os.ReadDir(filepath.Dir(out))
	require.NoError(t, err)
	require.Empty(t, entries)
}

func TestCheckAccountsForEveryRow(t *testing.T) {
	studio := demoStudio(t)
	problems := filepath.Join(t.TempDir(), "problems.csv")
	code, out, errOut := moldwright(t, "check", "--problems", problems, studio)
	require.Equal(t, exitDone, code, errOut)
	require.Contains(t, out, "rows read =")
	f, err := os.Open(problems)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, tables.Of[tables.Problem]().Names(), rows[0])

	code, out, _ = moldwright(t, "check", "--json", studio)
	require.Equal(t, exitDone, code)
	var account struct {
		Rows     map[string]int
		Problems []tables.Problem
	}
	require.NoError(t, json.Unmarshal([]byte(out), &account))
	require.Equal(t, account.Rows["read"], account.Rows["used"]+account.Rows["set_aside"]+account.Rows["not_data"])
	require.Len(t, account.Problems, len(rows)-1)

	code, _, _ = moldwright(t, "check", "-q", "--problems", problems, studio)
	require.Equal(t, exitNotWritten, code, "an existing file is kept")
}

func TestTheTemplateIsNeverWrittenOverALog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.xlsx")
	code, out, _ := moldwright(t, "template", "-o", path)
	require.Equal(t, exitDone, code)
	require.Contains(t, out, path)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	code, _, errOut := moldwright(t, "template", "-o", path)
	require.Equal(t, exitNotWritten, code)
	require.Contains(t, errOut, "kept")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, before, after)
}

func TestAReportOfAnEarlierDayLooksBack(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	code, text, errOut := moldwright(t, "report", "--json", "-o", out, "--as-of", "2025-01-31", demoStudio(t))
	require.Equal(t, exitDone, code, errOut)
	var record runrecord.Record
	require.NoError(t, json.Unmarshal([]byte(text), &record))
	require.Equal(t, "2025-01-31", record.AsOf)
	require.Less(t, record.Answers.CastsUsed, 800)
}
