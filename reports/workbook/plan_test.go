package workbook

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
)

// planBook is the workbook of the plan alone, as a file.
func planBook(t *testing.T, res pipeline.Result) (path string) {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, WritePlan(&buf, res, nil))
	path = filepath.Join(t.TempDir(), "plan.xlsx")
	require.NoError(t, os.WriteFile(path, buf.Bytes(), 0o644))
	if dir := os.Getenv("MOLDWRIGHT_LOOK"); dir != "" && len(res.Plan.Days) > 0 {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "plan.xlsx"), buf.Bytes(), 0o644))
	}
	return path
}

func readBack(t *testing.T, path string) ingest.Result {
	t.Helper()
	sources, err := ingest.Find([]string{path})
	require.NoError(t, err)
	read, err := ingest.Read(context.Background(), sources, ingest.Options{})
	require.NoError(t, err)
	t.Cleanup(read.Studio.Release)
	return read
}

// columnOf is the letter of a heading of the day sheet.
func columnOf(t *testing.T, in written, head string) string {
	for j, c := range dayColumns(in) {
		if c.head == head || c.head == in.ofLength(head) {
			return strings.TrimRight(ref(j+1, 1), "1")
		}
	}
	t.Fatalf("no column %q", head)
	return ""
}

func TestAFilledDaySheetIsReadBackAsCasts(t *testing.T) {
	for _, c := range []struct {
		in        written
		first, mm float64 // first wall written, and mm in what is written
	}{
		{written{format.Metric, format.ISO}, 4, 1},
		{written{format.US, format.ISO}, 0.15, 25.4},
		{written{format.US, format.MonthDay}, 0.15, 25.4},
		{written{format.Metric, format.DayMonth}, 4, 1},
	} {
		t.Run(fmt.Sprint(c.in), func(t *testing.T) { filledAndReadBack(t, c.in, c.first, c.mm) })
	}
}

func filledAndReadBack(t *testing.T, in written, first, mm float64) {
	wallAt := func(i int) float64 { return first + first/40*float64(i%7) }
	res := sample()
	res.Settings.Units, res.Settings.Days = in.units, in.days
	path := planBook(t, res)
	f, err := excelize.OpenFile(path)
	require.NoError(t, err)
	days := res.Plan.Days
	results := []string{"good", "second", "reject"}
	for i, d := range days {
		at := func(head string) string { return fmt.Sprintf("%s%d", columnOf(t, in, head), headRow+1+i) }
		require.NoError(t, f.SetCellValue(daySheet, at(castOn), d.Date.Time()))
		require.NoError(t, f.SetCellValue(daySheet, at(dwellUsed), 20+i%5))
		require.NoError(t, f.SetCellValue(daySheet, at(wallFound), wallAt(i)))
		require.NoError(t, f.SetCellValue(daySheet, at(resultFound), results[i%3]))
		require.NoError(t, f.SetCellValue(daySheet, at(noteTaken), "thin at the foot"))
	}
	require.NoError(t, f.Save())
	require.NoError(t, f.Close())

	read := readBack(t, path)
	for _, p := range read.Problems {
		require.Equal(t, tables.Notice, p.Severity, "%s %s: %s %s", p.Sheet, p.Cell, p.Code, p.Message)
		require.Contains(t, p.Mend, "nothing to do", "%s %s", p.Sheet, p.Code)
	}
	require.Equal(t, len(days), read.Studio.Casts.Len())
	for i, c := range read.Studio.Casts.Rows() {
		require.Equal(t, days[i].Mold, c.Mold)
		require.Equal(t, days[i].Date, c.Date)
		require.Equal(t, float64(20+i%5), c.DwellMin, "the dwell that was used, not the one that was planned")
		require.InDelta(t, mm*wallAt(i), c.WallMM(), 1e-9)
		require.Equal(t, results[i%3], c.Result)
		require.Equal(t, days[i].Form, c.Form)
		require.Empty(t, c.Cast)
		require.Equal(t, tables.NoCount, c.Age)
	}
	for _, s := range read.Reading.Files[0].Sheets {
		if s.Name != daySheet {
			require.Empty(t, s.Table, "%s is no log", s.Name)
		}
	}
	require.Zero(t, read.Studio.Orders.Len()+read.Studio.Molds.Len()+read.Studio.Pours.Len())
}

func TestALineWithoutADayIsNoCast(t *testing.T) {
	in, res := written{}, sample()
	path := planBook(t, res)
	f, err := excelize.OpenFile(path)
	require.NoError(t, err)
	for i := range 3 {
		for head, v := range map[string]any{castOn: time.Date(2026, 3, 16, 0, 0, 0, 0, time.UTC), dwellUsed: 21, wallFound: 4.1, resultFound: "good"} {
			require.NoError(t, f.SetCellValue(daySheet, fmt.Sprintf("%s%d", columnOf(t, in, head), headRow+1+i), v))
		}
	}
	require.NoError(t, f.Save())
	require.NoError(t, f.Close())
	read := readBack(t, path)
	require.Equal(t, 3, read.Studio.Casts.Len(), "planned casts that were not made don't age their molds")
	for _, p := range read.Problems {
		require.Equal(t, tables.Notice, p.Severity, "%s %s: %s %s", p.Sheet, p.Cell, p.Code, p.Message)
	}
}

func TestThePlanStandsAlone(t *testing.T) {
	f, err := excelize.OpenFile(planBook(t, sample()))
	require.NoError(t, err)
	defer f.Close()
	assert.Equal(t, []string{planSheet, daySheet, runMixSheet, problemsSheet, methodSheet}, f.GetSheetList())
	ok, _, err := f.GetCellHyperLink(planSheet, "A4")
	require.NoError(t, err)
	assert.False(t, ok, "the first sheet leads back to none")
	ok, link, err := f.GetCellHyperLink(daySheet, "A4")
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, "'Run plan'!A1", link)
	var one, two bytes.Buffer
	require.NoError(t, WritePlan(&one, sample(), nil))
	require.NoError(t, WritePlan(&two, sample(), nil))
	assert.True(t, bytes.Equal(one.Bytes(), two.Bytes()))
}

func TestWithoutAPlanThatIsSaid(t *testing.T) {
	res := pipeline.Result{}
	res.Plan.WhyNot = "there is no order: fill in the orders sheet"
	f, err := excelize.OpenFile(planBook(t, res))
	require.NoError(t, err)
	defer f.Close()
	found, err := f.SearchSheet(planSheet, "There is no plan: there is no order", true)
	require.NoError(t, err)
	assert.NotEmpty(t, found)
	assert.NotContains(t, f.GetSheetList(), daySheet)
}

func TestTheRunPlanSaysWhatToDo(t *testing.T) {
	f, _ := made(t, sample(), nil, usualLimits())
	rows, err := f.GetRows(planSheet)
	require.NoError(t, err)
	var all []string
	for _, r := range rows {
		all = append(all, strings.Join(r, "|"))
	}
	text := strings.Join(all, "\n")
	for _, want := range []string{
		"Of 5 orders, by verdict: on time: 1, pour molds: 2, move the day: 1, no plan: 1.",
		"Pour 3 new molds by 2026-03-19: the mix sheet says how.", "Ask for 2026-04-15 or later",
		"<1%", "check its spelling", "Two more molds", "Slip that is enough in nine runs of ten|109|kg", "standard error", "good to 0.8 points",
	} {
		assert.Contains(t, text, want)
	}
	assert.NotContains(t, text, "NaN")
}

func TestTheDayAfterADayBeginsABlock(t *testing.T) {
	f, _ := made(t, sample(), nil, usualLimits())
	for i, d := range sample().Plan.Days {
		id, err := f.GetCellStyle(daySheet, ref(1, headRow+1+i))
		require.NoError(t, err)
		style, err := f.GetStyle(id)
		require.NoError(t, err)
		heavy := false
		for _, b := range style.Border {
			heavy = heavy || b.Type == "top" && b.Style == 5
		}
		assert.Equal(t, i == 0 || sample().Plan.Days[i-1].Date != d.Date, heavy, i)
	}
}
