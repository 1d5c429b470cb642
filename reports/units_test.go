package reports_test

import (
	"archive/zip"
	"bytes"
	"context"
	"html"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/fixtures"
	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/format"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
	"moldwright/reports/charts"
	"moldwright/reports/page"
	"moldwright/reports/workbook"
)

// bothSystems is one result of the demo studio, told in metric and in US units.
func bothSystems(t *testing.T) (metric, us pipeline.Result) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "studio")
	require.NoError(t, os.CopyFS(dir, fixtures.Demo()))
	sources, err := ingest.Find([]string{dir})
	require.NoError(t, err)
	set := pipeline.Defaults()
	set.Life.Draws, set.Plan.Draws = 400, 400
	res, err := pipeline.Run(context.Background(), sources, set, nil)
	require.NoError(t, err)
	t.Cleanup(res.Studio.Release)
	us = res
	us.Settings.Units = format.US
	us.Advice = advice.Items(advice.Input{Studio: us.Studio, Log: us.Log, Wall: us.Wall, Life: us.Life, Watch: us.Watch, Plaster: us.Plaster, Plan: us.Plan,
		Units: format.US, Days: format.ISO, Goal: set.Plan.Goal})
	return res.Told(), us.Told()
}

func opened(t *testing.T, res pipeline.Result, pics []charts.Chart) (*excelize.File, []byte) {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, workbook.Write(&buf, res, charts.Drawn(pics)))
	f, err := excelize.OpenReader(bytes.NewReader(buf.Bytes()))
	require.NoError(t, err)
	t.Cleanup(func() { _ = f.Close() })
	return f, buf.Bytes()
}

// cell is a cell as the file holds it, with the unit that its format names.
type cell struct {
	raw, unit, code string
	number          bool
}

func cellOf(t *testing.T, f *excelize.File, sheet, at string) cell {
	kind, err := f.GetCellType(sheet, at)
	require.NoError(t, err)
	raw, err := f.GetCellValue(sheet, at, excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	c := cell{raw: raw, number: raw != "" && kind != excelize.CellTypeSharedString && kind != excelize.CellTypeInlineString}
	if _, err := strconv.ParseFloat(raw, 64); err != nil {
		c.number = false // a formula that gives a text
	}
	if c.number {
		id, err := f.GetCellStyle(sheet, at)
		require.NoError(t, err)
		style, err := f.GetStyle(id)
		require.NoError(t, err)
		if style.CustomNumFmt != nil {
			c.code = *style.CustomNumFmt
			if m := regexp.MustCompile(`" (` + unitNames + `)"`).FindStringSubmatch(c.code); m != nil {
				c.unit = m[1]
			}
		}
	}
	return c
}

// One run serves all of these checks: it takes most of their time.
func TestUnitsAndDaysOfAReport(t *testing.T) {
	metric, us := bothSystems(t)
	t.Run("every number of a US report is the metric one converted", func(t *testing.T) { everyNumberConverted(t, metric, us) })
	t.Run("no metric unit is left in a US report", func(t *testing.T) { noMetricUnitLeft(t, us) })
	t.Run("days are written as asked for", func(t *testing.T) { daysAsAskedFor(t, metric) })
}

// Every cell of a US workbook is the metric one in the unit of its header, its
// format or its text, and everything else is the same.
func everyNumberConverted(t *testing.T, metric, us pipeline.Result) {
	a, _ := opened(t, metric, nil)
	b, _ := opened(t, us, nil)
	require.Equal(t, a.GetSheetList(), b.GetSheetList())
	converted := 0
	for _, sheet := range a.GetSheetList() {
		if sheet == "Mix" || sheet == "Cut depth" {
			continue // in metric units they have columns in lb and in beside: see the workbook's own tests
		}
		converted += sameSheet(t, a, b, sheet)
	}
	require.Greater(t, converted, 2000, "most cells of walls and masses have changed")

	var pageA, pageB bytes.Buffer
	require.NoError(t, page.Write(&pageA, metric, nil))
	require.NoError(t, page.Write(&pageB, us, nil))
	textA, textB := texts(pageA.String()), texts(pageB.String())
	// What stands in lb and in beside the metric figures, to weigh and to saw by, is not there twice in a US report.
	textA = slices.DeleteFunc(textA, regexp.MustCompile(`^(?:[\d /]+ in|[\d.]+ lb)$`).MatchString)
	require.Equal(t, len(textA), len(textB), "texts of the page")
	rates := 0
	for i := range textA {
		unitA, unitB := "", ""
		if _, err := strconv.ParseFloat(textA[i], 64); err == nil && textA[i] != textB[i] {
			unitA, unitB = "mm²/min", "in²/h" // the one column of the page that names its unit in the header alone
			rates++
		}
		sameText(t, "page", textA[i], textB[i], unitA, unitB)
	}
	require.Equal(t, rates > 0, len(metric.Wall.States) > 0)
	require.LessOrEqual(t, rates, len(metric.Wall.States))
}

func sameSheet(t *testing.T, a, b *excelize.File, sheet string) (converted int) {
	rows, err := a.GetRows(sheet)
	require.NoError(t, err)
	heads := map[int]bool{} // rows where columns begin to mean something else
	list, err := a.GetTables(sheet)
	require.NoError(t, err)
	for _, table := range list {
		from, to, _ := strings.Cut(table.Range, ":")
		_, row, err := excelize.CellNameToCoordinates(from)
		require.NoError(t, err)
		heads[row] = true
		_, last, err := excelize.CellNameToCoordinates(to)
		require.NoError(t, err)
		heads[last+1] = true // and where its columns mean nothing any more
	}
	headA, headB := map[int]string{}, map[int]string{}
	for i := range rows {
		rowUnit := [2]string{}
		if heads[i+1] {
			headA, headB = map[int]string{}, map[int]string{}
		}
		for j := len(rows[i]); j >= 1; j-- { // a unit that stands in a cell of its own stands right of its number
			at, err := excelize.CoordinatesToCellName(j, i+1)
			require.NoError(t, err)
			x, y := cellOf(t, a, sheet, at), cellOf(t, b, sheet, at)
			where := sheet + " " + at
			require.Equal(t, x.number, y.number, where)
			if !x.number {
				sameText(t, where, x.raw, y.raw, headA[j], headB[j])
				if m, n := inHeader.FindStringSubmatch(x.raw), inHeader.FindStringSubmatch(y.raw); m != nil && n != nil {
					headA[j], headB[j] = m[1], n[1]
				}
				if _, dim := size(x.raw); dim != "" {
					rowUnit = [2]string{x.raw, y.raw}
				}
				continue
			}
			unitA, unitB := or(x.unit, or(rowUnit[0], headA[j])), or(y.unit, or(rowUnit[1], headB[j]))
			if strings.HasPrefix(rowText(rows, j), "Loss") && rows[i][0] == "wall" {
				unitA, unitB = "mm", "in"
			}
			if factor := byOtherUnits(sheet, rowText(rows, j), x.code); factor != 0 {
				m, u := number(t, x.raw), number(t, y.raw)
				require.InDelta(t, m*factor, u, 1e-9*math.Abs(u), where)
				converted++
				continue
			}
			if sameNumber(t, where, x, y, unitA, unitB) {
				converted++
			}
		}
	}
	return converted
}

// byOtherUnits is what a number is multiplied by whose unit is not a length, a
// mass or a rate: a price, and what the law of walls is written with (the demo's
// is the filtration law, in which walls stand squared); 0 for any other.
func byOtherUnits(sheet, head, code string) float64 {
	switch {
	case strings.Contains(code, `" a kg"`):
		return 0.45359237
	case sheet == "Dwell guide" && strings.HasPrefix(head, "Law: a "):
		return 25.4 * 25.4
	case sheet == "Dwell guide" && strings.HasPrefix(head, "Law: b "):
		return 25.4
	}
	return 0
}

func number(t *testing.T, text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}

// rowText is the header of a column of the sheet's first table.
func rowText(rows [][]string, column int) string {
	const headRow = 5
	if len(rows) < headRow || len(rows[headRow-1]) < column {
		return ""
	}
	return rows[headRow-1][column-1]
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func sameNumber(t *testing.T, where string, x, y cell, unitA, unitB string) bool {
	m, err := strconv.ParseFloat(x.raw, 64)
	require.NoError(t, err, where)
	u, err := strconv.ParseFloat(y.raw, 64)
	require.NoError(t, err, where)
	sizeA, dimA := size(unitA)
	sizeB, dimB := size(unitB)
	require.Equal(t, dimA, dimB, where)
	switch {
	case dimA == "":
		require.Equal(t, x, y, where) // not a digit nor its format changes
	case strings.Contains(y.code, "/"):
		require.InDelta(t, m*sizeA, u*sizeB, 1+sizeB/16, "%s: on a ruler", where)
		require.Zero(t, math.Mod(u*16, 1), "%s: a sixteenth", where)
	case digits(x.raw) <= 2 && digits(y.raw) <= 2: // forecasts are rounded to two digits in either unit
		require.InDelta(t, m*sizeA, u*sizeB, 0.05*(math.Abs(m)*sizeA+math.Abs(u)*sizeB)+1e-9, where)
	default:
		require.InEpsilon(t, 1+m*sizeA, 1+u*sizeB, 1e-12, "%s: %s %s and %s %s", where, x.raw, unitA, y.raw, unitB)
	}
	return dimA != "" && m != 0
}

// digits counts the digits of a number that count, up to rounding.
func digits(number string) int {
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return 0
	}
	text, _, _ := strings.Cut(strconv.FormatFloat(math.Abs(x), 'e', 12, 64), "e")
	return len(strings.TrimRight(strings.Replace(text, ".", "", 1), "0"))
}

var tag = regexp.MustCompile(`(?s)<style.*?</style>|<svg.*?</svg>|<[^>]*>`)

// texts are the texts of a page, without its style and its charts.
func texts(page string) []string {
	var out []string
	for _, s := range tag.Split(page, -1) {
		if s = strings.TrimSpace(html.UnescapeString(s)); s != "" {
			out = append(out, s)
		}
	}
	return out
}

var siLeft = regexp.MustCompile(`(?:^|[^A-Za-z])(?:mm²?|kg|L|°C|millimet\w+|kilogram\w*|lit(?:er|re)s?)(?:[^A-Za-z]|$)`)

// Nothing of a US report is left in SI but statements of the law and the method as
// they were worked out, and what stood in the log.
func noMetricUnitLeft(t *testing.T, us pipeline.Result) {
	pics, err := charts.Draw(us)
	require.NoError(t, err)
	for _, c := range pics {
		for _, s := range append(regexp.MustCompile(`>([^<]+)<`).FindAllString(string(c.SVG), -1), c.Alt, c.Note, c.Title) {
			require.False(t, siLeft.MatchString(s), "chart %s: %q", c.Name, s)
		}
	}
	f, data := opened(t, us, pics)
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		require.NoError(t, err)
		for i, row := range rows {
			for j, s := range row {
				require.False(t, siLeft.MatchString(s) && !isSI(sheet, s, us), "sheet %s, row %d, column %d: %q", sheet, i+1, j+1, s)
			}
		}
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	for _, part := range z.File {
		if !strings.Contains(part.Name, "chart") && !strings.Contains(part.Name, "drawing") {
			continue
		}
		r, err := part.Open()
		require.NoError(t, err)
		xml, err := io.ReadAll(r)
		require.NoError(t, err)
		for _, s := range regexp.MustCompile(`>[^<]+<|descr="[^"]*"`).FindAllString(string(xml), -1) {
			require.False(t, siLeft.MatchString(s), "%s: %q", part.Name, s)
		}
	}
	var buf bytes.Buffer
	require.NoError(t, page.Write(&buf, us, pics))
	for _, s := range texts(buf.String()) {
		require.False(t, siLeft.MatchString(s) && !isSI("page", s, us), "page: %q", s)
	}
}

// isSI reports whether a text is one of those that stay in SI.
func isSI(where, text string, res pipeline.Result) bool {
	if where == "Method" || where == "Wall law" {
		return true
	}
	for _, p := range res.Problems {
		if text == p.Value {
			return true // as read
		}
	}
	for _, statement := range []string{
		"→",                       // how the columns of the log were read
		"a·L²", "log scale of mm", // the law
		"slip temperature (°C)",     // a term of the law
		"read in mm", "wall (in mm", // problems that speak of a column of the log
	} {
		if strings.Contains(text, statement) {
			return true
		}
	}
	return false
}

// Days in a form of the reader's are everywhere, but where the log or the name of a
// table is quoted.
func daysAsAskedFor(t *testing.T, metric pipeline.Result) {
	metric.Settings.Days = format.DayMonth
	metric.Advice = advice.Items(advice.Input{Studio: metric.Studio, Log: metric.Log, Wall: metric.Wall, Life: metric.Life, Watch: metric.Watch, Plaster: metric.Plaster, Plan: metric.Plan,
		Days: format.DayMonth, Goal: metric.Settings.Plan.Goal})
	res := metric.Told()
	iso := regexp.MustCompile(`\d{4}-\d\d-\d\d`)
	quoted := func(s string) bool {
		for _, p := range res.Problems {
			if s == p.Value || strings.EqualFold(strings.TrimSuffix(s, "."), strings.TrimSuffix(p.Mend, ".")) {
				return true
			}
		}
		return false
	}
	f, _ := opened(t, res, nil)
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		require.NoError(t, err)
		for i, row := range rows {
			for j, s := range row {
				require.False(t, iso.MatchString(s) && !quoted(s), "sheet %s, row %d, column %d: %q", sheet, i+1, j+1, s)
			}
		}
	}
	var buf bytes.Buffer
	require.NoError(t, page.Write(&buf, res, nil))
	for _, s := range texts(buf.String()) {
		require.False(t, iso.MatchString(s) && !quoted(s), "page: %q", s)
	}
	require.Contains(t, buf.String(), format.DayMonth.Day(res.Log.AsOf))
	require.NotEqual(t, tables.NoDate, res.Log.AsOf)
}
