package ingest

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

func day1() time.Time { return time.Date(2025, 3, 1, 9, 30, 0, 0, time.UTC) }

func TestWorkbookDatesTimesAndDurations(t *testing.T) {
	path := workbook(t, [][]any{
		{"Date", "Time", "Mold", "Dwell [hh:mm]", "Wall (mm)"},
		{time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC), 0.604166666666667, 7, 22 * time.Minute, 5.25},
		{time.Date(2025, 3, 2, 0, 0, 0, 0, time.UTC), "2:30 pm", "7.0", 65 * time.Minute, "5,5"},
	}, nil)
	res := readAll(t, Options{}, path)
	got := casts(res)
	require.Len(t, got, 2)
	require.Equal(t, tables.MakeDate(2025, 3, 1), got[0].Date)
	require.InDelta(t, 870, got[0].TimeMin, 1e-6)
	require.InDelta(t, 22, got[0].DwellMin, 1e-5)
	require.InDelta(t, 65, got[1].DwellMin, 1e-5)
	require.Equal(t, "7", got[1].Mold, "7 and 7.0 are one name")
	require.Equal(t, 5.5, got[1].WallMM())
	require.Equal(t, "log.xlsx", res.Reading.Files[0].Name)
	require.Len(t, res.Reading.Files[0].SHA256, 64)
}

func TestWorkbookOfThe1904DateSystem(t *testing.T) {
	yes := true
	path := workbook(t, [][]any{castHeader, {44268, "A", 20, 5}}, func(f *excelize.File) {
		require.NoError(t, f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}))
	})
	// 45730 of the 1900 system less the 1462 days between the two.
	require.Equal(t, tables.MakeDate(2025, 3, 14), casts(readAll(t, Options{}, path))[0].Date)
}

func TestTimeTakenFromTheDate(t *testing.T) {
	path := workbook(t, [][]any{castHeader, {day1(), "A", 20, 5}}, nil)
	res := readAll(t, Options{}, path)
	require.InDelta(t, 570, casts(res)[0].TimeMin, 1e-3)
	require.Equal(t, "A1", find(t, res, CodeTimeFromDate).Cell)
}

func TestFormulasWithoutAValue(t *testing.T) {
	path := workbook(t, [][]any{castHeader, {day1(), "A", 20, 5, "good"}, {day1(), "B", 20, nil, "good"}, {day1(), "C", 20, 5, nil}}, func(f *excelize.File) {
		require.NoError(t, f.SetCellFormula("Casts", "D3", "D2*2"))
		require.NoError(t, f.SetCellFormula("Casts", "E4", `IF(D2>1,"good","reject")`))
	})
	res := readAll(t, Options{}, path)
	var got [][]string
	for _, p := range res.Problems {
		if p.Code == CodeNotCalculated {
			got = append(got, []string{p.Cell, p.Severity})
		}
	}
	require.Equal(t, [][]string{{"D3", tables.SetAside}, {"E4", tables.ValueIgnored}}, got)
	require.Equal(t, 3, res.Studio.Casts.Len(), "the cast without a wall still ages its mold")
}

func TestErrorValuesInCells(t *testing.T) {
	path := workbook(t, [][]any{castHeader, {day1(), "A", "#DIV/0!", 5, "#N/A"}}, nil)
	res := readAll(t, Options{}, path)
	require.Equal(t, "C2", find(t, res, CodeErrorValue).Cell)
	require.Equal(t, tables.SetAside, find(t, res, CodeErrorValue).Severity)
}

func TestHiddenSheetsAndRowsAreReadAndTold(t *testing.T) {
	path := workbook(t, [][]any{castHeader, {day1(), "A", 20, 5}, {day1(), "B", 20, 5}}, func(f *excelize.File) {
		_, err := f.NewSheet("Old")
		require.NoError(t, err)
		require.NoError(t, f.SetSheetRow("Old", "B3", &[]any{"Mold", "Form"}))
		require.NoError(t, f.SetSheetRow("Old", "B4", &[]any{"A", "cup"}))
		require.NoError(t, f.SetSheetVisible("Old", false))
		require.NoError(t, f.SetRowVisible("Casts", 3, false))
	})
	res := readAll(t, Options{}, path)
	require.Equal(t, 2, res.Studio.Casts.Len())
	require.Equal(t, "Old", find(t, res, CodeHiddenSheet).Sheet)
	require.Contains(t, find(t, res, CodeHiddenRows).Message, "1 rows")
	require.True(t, res.Reading.Files[0].Sheets[1].Hidden)
	_, _, cell := res.Studio.Blocks.Place(res.Studio.Molds.Origin(0), "form")
	require.Equal(t, "C4", cell)
}

func TestDatesMergedOverTheCastsOfADay(t *testing.T) {
	path := workbook(t, [][]any{castHeader, {day1(), "A", 20, 5}, {nil, "B", 20, 5}, {nil, "C", 20, 5}, {nil, "D", 20, 5}}, func(f *excelize.File) {
		require.NoError(t, f.MergeCell("Casts", "A2", "A4"))
	})
	res := readAll(t, Options{}, path)
	require.Equal(t, 3, res.Studio.Casts.Len())
	require.Equal(t, "2", find(t, res, CodeMergedCells).Value)
	require.Equal(t, "A5", find(t, res, CodeMissing).Cell)
}

func TestChartsAndEmptySheetsAreNoProblem(t *testing.T) {
	path := workbook(t, [][]any{castHeader, {day1(), "A", 20, 5}}, func(f *excelize.File) {
		_, err := f.NewSheet("Empty")
		require.NoError(t, err)
		require.NoError(t, f.AddChartSheet("Chart", &excelize.Chart{Type: excelize.Col, Series: []excelize.ChartSeries{{Values: "Casts!$C$2:$C$2"}}}))
	})
	res := readAll(t, Options{}, path)
	require.Len(t, res.Reading.Files[0].Sheets, 3)
	require.Equal(t, "the sheet is empty", res.Reading.Files[0].Sheets[1].Why)
	require.NotEmpty(t, res.Reading.Files[0].Sheets[2].Why)
	require.Equal(t, 1, res.Studio.Casts.Len())
}

// rewrite copies a workbook and changes one of its parts.
func rewrite(t *testing.T, from, part string, change func([]byte) []byte) string {
	t.Helper()
	r, err := zip.OpenReader(from)
	require.NoError(t, err)
	defer r.Close()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range r.File {
		in, err := f.Open()
		require.NoError(t, err)
		data, err := io.ReadAll(in)
		require.NoError(t, err)
		if f.Name == part {
			data = change(data)
		}
		o, err := w.Create(f.Name)
		require.NoError(t, err)
		_, err = o.Write(data)
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	path := filepath.Join(t.TempDir(), "changed.xlsx")
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o600))
	return path
}

func TestAWorkbookDamagedInsideIsNotReadInSilence(t *testing.T) {
	good := workbook(t, [][]any{castHeader, {day1(), "A", 20, 5}, {day1(), "B", 20, 5}, {day1(), "C", 20, 5}}, nil)
	const part = "xl/worksheets/sheet1.xml"
	path := rewrite(t, good, part, func(b []byte) []byte {
		return bytes.Replace(b, []byte(`<row r="3"`), []byte(`<row r="3" <`), 1)
	})
	res := readAll(t, Options{}, path)
	require.Equal(t, 1, res.Studio.Casts.Len())
	require.Contains(t, find(t, res, CodeSheetCutShort).Message, "only up to row 2")

	path = rewrite(t, good, part, func(b []byte) []byte {
		return bytes.Replace(b, []byte(`<row r="4"`), []byte(`<row r="9999999"`), 1)
	})
	require.Equal(t, CodeSheetCutShort, find(t, readAll(t, Options{}, path), CodeSheetCutShort).Code)

	path = rewrite(t, good, part, func(b []byte) []byte {
		return bytes.Replace(b, []byte(`r="B4"`), []byte(`r="ZZZZZ4"`), 1)
	})
	require.Equal(t, CodeSheetCutShort, find(t, readAll(t, Options{}, path), CodeSheetCutShort).Code)

	for _, name := range []string{"xl/sharedStrings.xml", "xl/workbook.xml", "xl/styles.xml", "[Content_Types].xml", "xl/_rels/workbook.xml.rels"} {
		path = rewrite(t, good, name, func(b []byte) []byte { return b[:len(b)/2] })
		res := readAll(t, Options{}, path) // unreadable or set aside: no panic, no error
		require.NotEmpty(t, res.Problems, name)
	}
}

func TestFarCellsNeitherHangNorFillTheMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("slow")
	}
	f := excelize.NewFile()
	defer f.Close()
	w, err := f.NewStreamWriter("Sheet1")
	require.NoError(t, err)
	for row := 1; row <= 4_000; row++ {
		cell, err := excelize.CoordinatesToCellName(16_384, row)
		require.NoError(t, err)
		require.NoError(t, w.SetRow(cell, []any{1}))
	}
	require.NoError(t, w.Flush())
	path := filepath.Join(t.TempDir(), "far.xlsx")
	require.NoError(t, f.SaveAs(path))
	res := readAll(t, Options{}, path)
	require.Contains(t, find(t, res, CodeSheetCutShort).Message, "more cells")
}
