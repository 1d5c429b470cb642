package template_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
	"moldwright/reports/template"
)

func blank(t *testing.T) *excelize.File {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, template.Write(&b))
	f, err := excelize.OpenReader(&b)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	return f
}

func read(t *testing.T, f *excelize.File) ingest.Result {
	t.Helper()
	path := filepath.Join(t.TempDir(), "log.xlsx")
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	sources, err := ingest.Find([]string{path})
	require.NoError(t, err)
	res, err := ingest.Read(context.Background(), sources, ingest.Options{})
	require.NoError(t, err)
	t.Cleanup(res.Studio.Release)
	return res
}

// guideName is the first sheet, which is no table.
const guideName = "How to fill this in"

// problems are all but the note that the guide holds no table, which is so.
func problems(res ingest.Result) []tables.Problem {
	return slices.DeleteFunc(slices.Clone(res.Problems), func(p tables.Problem) bool {
		return p.Sheet == guideName && p.Code == ingest.CodeSheetUnknown && p.Severity == tables.Notice
	})
}

// examples are the values on the guide sheet, by sheet and header.
func examples(t *testing.T, f *excelize.File) map[string]map[string]string {
	t.Helper()
	rows, err := f.GetRows(f.GetSheetList()[0])
	require.NoError(t, err)
	out := map[string]map[string]string{}
	sheet := ""
	for _, r := range rows {
		if len(r) == 0 {
			continue
		}
		if name, ok := strings.CutPrefix(r[0], "Sheet "); ok {
			sheet, _, _ = strings.Cut(name, ":")
			out[sheet] = map[string]string{}
		} else if sheet != "" && len(r) == 4 {
			header, _, _ := strings.Cut(r[0], ", and up to")
			out[sheet][header] = r[3]
		}
	}
	return out
}

// typeIn does what a spreadsheet program does with what a person types: text
// stays text in a column of text, and becomes a date, time, share or number
// elsewhere.
func typeIn(t *testing.T, f *excelize.File, sheet, cell, text string) {
	t.Helper()
	id, err := f.GetCellStyle(sheet, cell)
	require.NoError(t, err)
	style, err := f.GetStyle(id)
	require.NoError(t, err)
	const textFormat = 49
	var value any = text
	if style.NumFmt != textFormat {
		value = understood(t, text)
	}
	require.NoError(t, f.SetCellValue(sheet, cell, value))
}

func understood(t *testing.T, text string) any {
	if m := regexp.MustCompile(`^(\d{4})-(\d\d)-(\d\d)$`).FindStringSubmatch(text); m != nil {
		return int(day(t, text)) + 25569 // the serial of 1970-01-01
	}
	if h, m, ok := strings.Cut(text, ":"); ok {
		hours, err := strconv.Atoi(h)
		require.NoError(t, err)
		minutes, err := strconv.Atoi(m)
		require.NoError(t, err)
		return float64(60*hours+minutes) / 1440
	}
	number, percent := strings.CutSuffix(text, "%")
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return text
	}
	if percent {
		return x / 100
	}
	return x
}

func day(t *testing.T, iso string) tables.Date {
	at, err := time.Parse(time.DateOnly, iso)
	require.NoError(t, err)
	return tables.DateOf(at)
}

// fill writes the guide's examples into row 2 of their sheets.
func fill(t *testing.T, f *excelize.File) {
	t.Helper()
	all := examples(t, f)
	require.Len(t, all, len(tables.Inputs()))
	for sheet, values := range all {
		headers, err := f.GetRows(sheet)
		require.NoError(t, err)
		used := 0
		for i, h := range headers[0] {
			if v, ok := values[h]; ok {
				cell, err := excelize.CoordinatesToCellName(i+1, 2)
				require.NoError(t, err)
				typeIn(t, f, sheet, cell, v)
				used++
			}
		}
		require.Equal(t, len(values), used, "every example on the guide belongs to a header of %s", sheet)
	}
}

func TestABlankTemplateReadsAsHeadersOnly(t *testing.T) {
	res := read(t, blank(t))
	require.Empty(t, problems(res))
	tablesRead := map[string]bool{}
	require.Len(t, res.Reading.Files, 1)
	for _, s := range res.Reading.Files[0].Sheets {
		require.Zero(t, s.RowsUsed+s.RowsAside, s.Name)
		require.Equal(t, s.RowsRead, s.RowsNoData, s.Name)
		if s.Table == "" {
			require.Equal(t, guideName, s.Name, "only the guide is no table")
			continue
		}
		tablesRead[s.Table] = true
		require.Equal(t, 1, s.HeaderRow, s.Name)
		for _, c := range s.Columns {
			require.NotEmpty(t, c.Column, "%s: header %q is not recognised", s.Name, c.Header)
		}
	}
	require.Len(t, tablesRead, len(tables.Inputs()))
}

func TestTheGuidesExamplesComeBack(t *testing.T) {
	f := blank(t)
	fill(t, f)
	res := read(t, f)
	require.Empty(t, problems(res))
	s := res.Studio
	for name, n := range map[string]int{
		"molds": s.Molds.Len(), "pours": s.Pours.Len(), "gaps": s.Gaps.Len(), "casts": s.Casts.Len(),
		"slips": s.Slips.Len(), "forms": s.Forms.Len(), "prices": s.Prices.Len(), "orders": s.Orders.Len(),
	} {
		require.Equal(t, 1, n, name)
	}
	mold := s.Molds.Row(0)
	require.Equal(t, []string{"M-01", "mug", "split", "P-01", "retired", "worn"}, []string{mold.Mold, mold.Form, mold.Kind, mold.Pour, mold.Status, mold.EndReason})
	require.Equal(t, day(t, "2025-06-20"), mold.EndedOn)
	cast := s.Casts.Row(0)
	require.Equal(t, day(t, "2025-03-12"), cast.Date)
	require.InDelta(t, 570, cast.TimeMin, 1e-6)
	require.InDelta(t, 20, cast.DwellMin, 1e-9)
	require.InDelta(t, 5.2, cast.WallMM(), 1e-9)
	require.InDelta(t, 0.55, cast.RoomHumidity, 1e-9)
	require.Equal(t, "second", cast.Result)
	form := s.Forms.Row(0)
	require.InDelta(t, 0.045, form.DryingShrinkage, 1e-9)
	require.InDelta(t, 3, form.CastsPerDay, 1e-9)
	require.InDelta(t, 1.5, form.RestHours, 1e-9)
	pour := s.Pours.Row(0)
	require.InDelta(t, 8.2, pour.PlasterKg, 1e-9)
	require.InDelta(t, 0.9, pour.ModelVolumeL, 1e-9)
	require.Equal(t, tables.Count(120), s.Orders.Row(0).Pieces)
	require.Equal(t, "25 kg bag", s.Prices.Row(0).Unit)
	require.Equal(t, []float64{52}, s.Gaps.Row(0).GapsMM)
}

// The guide says that units and bases may be changed in the header: they may.
func TestHeadersMayBeChangedAsTheGuideSays(t *testing.T) {
	f := blank(t)
	fill(t, f)
	for cell, header := range map[string]string{"Casts!F1": "Dwell (hh:mm)", "Casts!G1": "Wall 1 (mm, fired)", "Casts!H1": "Wall 2 (mm, fired)", "Casts!I1": "Wall 3 (mm, fired)", "Pours!F1": "Plaster (lb)", "Pours!G1": "Water (lb)"} {
		sheet, at, _ := strings.Cut(cell, "!")
		require.NoError(t, f.SetCellStr(sheet, at, header))
	}
	require.NoError(t, f.SetCellValue("Casts", "F2", 22.0/1440))
	leftover := headerOf(t, f, "Pours", "Leftover (kg)")
	require.NoError(t, f.SetCellStr("Pours", leftover+"1", "Leftover (kg, dry plaster)"))
	res := read(t, f)
	require.Len(t, problems(res), 1)
	require.Equal(t, tables.Notice, problems(res)[0].Severity, "that a dwell as hh:mm is a fraction of a day is told, and right")
	require.Equal(t, "F1", problems(res)[0].Cell)
	cast, pour := res.Studio.Casts.Row(0), res.Studio.Pours.Row(0)
	require.InDelta(t, 22, cast.DwellMin, 1e-6)
	require.Equal(t, tables.WallFired, cast.WallBasis)
	require.InDelta(t, 8.2*0.45359237, pour.PlasterKg, 1e-9)
	require.Equal(t, tables.AsDry, pour.LeftoverBasis)
}

func headerOf(t *testing.T, f *excelize.File, sheet, header string) string {
	t.Helper()
	rows, err := f.GetRows(sheet)
	require.NoError(t, err)
	for i, h := range rows[0] {
		if h == header {
			col, err := excelize.ColumnNumberToName(i + 1)
			require.NoError(t, err)
			return col
		}
	}
	t.Fatalf("no header %q on %s", header, sheet)
	return ""
}
