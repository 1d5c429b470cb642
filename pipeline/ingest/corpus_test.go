package ingest_test

import (
	"cmp"
	"context"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest"
	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/tables"
)

// corpusDir holds untidy workbooks and text files that other programs made, and
// beside each what it should give; its README says how they are named.
var corpusDir = filepath.Join("..", "..", "testdata", "ingest", "corpus")

// notYet lists the cases that are not read as they should be, with what is
// missing. A case that is read well must be taken off the list.
var notYet = map[string]string{
	"r/ditto-and-spellings": "“Mold 7” is joined with “M-07” only where a sheet lists the molds",
}

// optionsOf are those of the cases that are not read with the usual ones.
var optionsOf = map[string]ingest.Options{
	"openpyxl/dates-in-the-future":    {Today: time.Date(2025, 6, 1, 0, 0, 0, 0, time.UTC)},
	"libreoffice/dates-in-the-future": {Today: time.Date(2025, 6, 1, 0, 0, 0, 0, time.UTC)},
}

// corpusCase is an input, a file or a folder of files, with what it should give
// in files that bear its name.
type corpusCase struct {
	name  string // with its folder, without the ending
	input string // path
	stem  string // path of the wanted files without what comes after the name
}

// endings of inputs.
var endings = []string{"", ".xlsx", ".xlsm", ".csv", ".tsv", ".ods", ".xls", ".fods"}

func corpusCases(t *testing.T) []corpusCase {
	t.Helper()
	lists, err := filepath.Glob(filepath.Join(corpusDir, "*", "*.problems.want.csv"))
	require.NoError(t, err)
	var cases []corpusCase
	for _, list := range lists {
		stem := strings.TrimSuffix(list, ".problems.want.csv")
		c := corpusCase{name: filepath.ToSlash(strings.TrimPrefix(stem, corpusDir+string(filepath.Separator))), stem: stem}
		for _, ending := range endings {
			if _, err := os.Stat(stem + ending); err == nil {
				require.Empty(t, c.input, "%s: two inputs of one name", c.name)
				c.input = stem + ending
			}
		}
		require.NotEmpty(t, c.input, "%s: wanted tables without an input", c.name)
		cases = append(cases, c)
	}
	return cases
}

// TestCorpus reads every case and compares rows, provenance, problems and sums
// with what its maker put in.
func TestCorpus(t *testing.T) {
	cases := corpusCases(t)
	require.GreaterOrEqual(t, len(cases), 48)
	open := maps.Clone(notYet)
	for _, c := range cases {
		missing, listed := notYet[c.name]
		delete(open, c.name)
		t.Run(c.name, func(t *testing.T) {
			complaints := c.check(t)
			switch {
			case listed && len(complaints) == 0:
				t.Error("the case is read as it should be: take it off the list notYet")
			case listed:
				t.Logf("not yet: %s\n%s", missing, strings.Join(complaints, "\n"))
			case len(complaints) > 0:
				t.Error(strings.Join(complaints, "\n"))
			}
		})
	}
	require.Empty(t, open, "cases on the list notYet that are not there")
}

// check reads a case and says what is not as it should be.
func (c corpusCase) check(t *testing.T) []string {
	res := c.read(t, optionsOf[c.name])
	var complaints []string
	all := studioRows(res.Studio)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		complaints = append(complaints, compareTable(name, c.stem+"."+name+".want.csv", all[name])...)
	}
	complaints = append(complaints, compareProblems(readWant(t, c.stem+".problems.want.csv"), res.Problems)...)
	complaints = append(complaints, compareSheets(readWant(t, c.stem+".sheets.want.csv"), res.Reading)...)
	return complaints
}

func (c corpusCase) read(t *testing.T, opt ingest.Options) ingest.Result {
	t.Helper()
	sources, err := ingest.Find([]string{c.input})
	require.NoError(t, err)
	if _, err := os.Stat(c.stem + ".mapping.toml"); err == nil {
		opt.Mapping, err = mapping.Read(c.stem + ".mapping.toml")
		require.NoError(t, err)
	}
	res, err := ingest.Read(context.Background(), sources, opt)
	require.NoError(t, err)
	t.Cleanup(res.Studio.Release)
	return res
}

// compareTable compares the rows of one table with those of the file, in any
// order. Without a file there should be none.
func compareTable(name, path string, got []corpusRow) []string {
	var want wantTable
	if _, err := os.Stat(path); err == nil {
		if want, err = loadWant(path); err != nil {
			return []string{err.Error()}
		}
	}
	free := slices.Clone(got)
	var lost, complaints []string
	for _, w := range want.rows {
		if i := slices.IndexFunc(free, func(g corpusRow) bool { return w.fits(g) }); i >= 0 {
			free = slices.Delete(free, i, i+1)
		} else {
			lost = append(lost, w.String())
		}
	}
	if len(lost) > 0 {
		complaints = append(complaints, fmt.Sprintf("%s: %d of %d rows are not there:\n    %s", name, len(lost), len(want.rows), few(lost)))
	}
	if len(free) > 0 {
		var more []string
		for _, g := range free {
			more = append(more, g.String())
		}
		complaints = append(complaints, fmt.Sprintf("%s: %d rows of %d should not be there:\n    %s", name, len(free), len(got), few(more)))
	}
	return complaints
}

func few(lines []string) string {
	const most = 4
	if len(lines) > most {
		lines = append(slices.Clone(lines[:most]), "…")
	}
	return strings.Join(lines, "\n    ")
}

// compareProblems compares problems with the wanted ones. Notices beyond those
// are allowed. An empty cell stands for any, a row's number for any cell of the
// row; a severity * for any; a code * for one or more problems of any code.
func compareProblems(want wantTable, got []tables.Problem) []string {
	free := slices.Clone(got)
	var complaints []string
	slices.SortStableFunc(want.rows, func(a, b wantRow) int { // those that leave no choice first
		return cmp.Compare(len(b.text["cell"]), len(a.text["cell"]))
	})
	for _, w := range want.rows {
		i := slices.IndexFunc(free, w.isProblem)
		if i < 0 {
			complaints = append(complaints, "no problem "+w.String())
			continue
		}
		if free = slices.Delete(free, i, i+1); w.text["code"] == "*" {
			free = slices.DeleteFunc(free, w.isProblem)
		}
	}
	var more []string
	for _, p := range free {
		if p.Severity != tables.Notice {
			more = append(more, fmt.Sprintf("%s %s %s (%s): %q: %s", p.Sheet, p.Cell, p.Code, p.Severity, p.Value, p.Message))
		}
	}
	if len(more) > 0 {
		complaints = append(complaints, fmt.Sprintf("%d problems too many:\n    %s", len(more), few(more)))
	}
	return complaints
}

func (w wantRow) isProblem(p tables.Problem) bool {
	isOr := func(column, got, any string) bool { return w.text[column] == any || w.text[column] == got }
	_, inFile := w.text["file"]
	return isOr("code", p.Code, "*") && isOr("severity", p.Severity, "*") && p.Sheet == w.text["sheet"] &&
		(!inFile || filepath.Base(p.File) == w.text["file"]) &&
		(isOr("cell", p.Cell, "") || strings.TrimLeft(p.Cell, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == w.text["cell"])
}

// compareSheets compares the sums of each sheet, and checks that they close.
func compareSheets(want wantTable, got ingest.Reading) []string {
	wanted := map[string]wantRow{}
	for _, w := range want.rows {
		wanted[w.text["file"]+"|"+w.text["sheet"]] = w
	}
	_, byFile := want.column("file")
	var complaints []string
	for _, f := range got.Files {
		for _, s := range f.Sheets {
			if s.RowsRead != s.RowsUsed+s.RowsAside+s.RowsNoData {
				complaints = append(complaints, fmt.Sprintf("sheet %q: the account does not close: %d read, %d used, %d aside, %d no data", s.Name, s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData))
			}
			key := "|" + s.Name
			if byFile {
				key = filepath.Base(f.Name) + key
			}
			w, ok := wanted[key]
			if !ok {
				complaints = append(complaints, fmt.Sprintf("sheet %q should not be there", key))
				continue
			}
			delete(wanted, key)
			complaints = append(complaints, w.sums(s)...)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(wanted)) {
		complaints = append(complaints, fmt.Sprintf("sheet %q is not there", key))
	}
	return complaints
}

func (w wantRow) sums(s ingest.Sheet) []string {
	var complaints []string
	hidden := map[bool]string{true: "yes", false: "no"}[s.Hidden]
	for _, c := range []struct{ what, got string }{
		{"table", s.Table}, {"hidden", hidden}, {"used", fmt.Sprint(s.RowsUsed)}, {"aside", fmt.Sprint(s.RowsAside)}, {"read", fmt.Sprint(s.RowsRead)},
	} {
		if want := w.text[c.what]; want != c.got && want != "*" && (want != "" || c.what == "table") {
			complaints = append(complaints, fmt.Sprintf("sheet %q: %s is %q, not %q %s", s.Name, c.what, c.got, want, s.Why))
		}
	}
	return complaints
}

// TestCorpusWithoutMapping holds that a sheet that only a mapping settles is not
// guessed at without it: it is told of, and none of its rows is used.
func TestCorpusWithoutMapping(t *testing.T) {
	lists, err := filepath.Glob(filepath.Join(corpusDir, "*", "*.mapping.toml"))
	require.NoError(t, err)
	require.NotEmpty(t, lists)
	for _, c := range corpusCases(t) {
		if !slices.Contains(lists, c.stem+".mapping.toml") {
			continue
		}
		sources, err := ingest.Find([]string{c.input})
		require.NoError(t, err)
		res, err := ingest.Read(context.Background(), sources, ingest.Options{})
		require.NoError(t, err)
		read, used, aside, noData := res.Reading.Rows()
		require.Zero(t, used, c.name)
		require.Equal(t, read, aside+noData, c.name)
		require.True(t, slices.ContainsFunc(res.Problems, func(p tables.Problem) bool { return p.Code == ingest.CodeSheetUnknown }), c.name)
		res.Studio.Release()
	}
}

// TestCorpusIsWhole holds that every file of the corpus is an input with what it
// should give, or belongs to one, and that they stay small.
func TestCorpusIsWhole(t *testing.T) {
	known := map[string]bool{}
	for _, c := range corpusCases(t) {
		known[c.stem] = true
	}
	var sum int64
	err := filepath.WalkDir(corpusDir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		sum += info.Size()
		dir, name := filepath.Split(path)
		if parent := filepath.Dir(filepath.Clean(path)); parent == filepath.Clean(corpusDir) || filepath.Base(parent) == "scripts" || known[parent] {
			return nil
		}
		stem, _, _ := strings.Cut(name, ".")
		if !known[filepath.Join(dir, stem)] {
			t.Errorf("%s belongs to no case", path)
		}
		return nil
	})
	require.NoError(t, err)
	require.Less(t, sum, int64(2<<20))
}
