package template

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

func open(t *testing.T) (*excelize.File, []byte) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b))
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	return f, b.Bytes()
}

func TestBytesRepeat(t *testing.T) {
	_, first := open(t)
	_, second := open(t)
	require.True(t, bytes.Equal(first, second))
}

func TestAGuideAndASheetForEveryTable(t *testing.T) {
	f, _ := open(t)
	want := []string{guideSheet}
	for _, in := range tables.Inputs() {
		want = append(want, sheetName(in))
		require.NotEmpty(t, purpose(in), "the guide says what %s is for", in.Name)
	}
	require.Equal(t, want, f.GetSheetList())
	require.Zero(t, f.GetActiveSheetIndex())
}

func TestHeadersAreTheDeclaredColumns(t *testing.T) {
	f, _ := open(t)
	require.Equal(t, []string{"Date", "Time (hh:mm)", "Wall 2 (mm)", "Rest hours (h)", "Drying shrinkage", "Specific gravity", "Gap 4 (mm)"}, []string{
		cellOf(t, f, "Casts", "B1"), cellOf(t, f, "Casts", "C1"), cellOf(t, f, "Casts", "H1"), cellOf(t, f, "Forms", "F1"), cellOf(t, f, "Forms", "H1"),
		cellOf(t, f, "Slips", "C1"), cellOf(t, f, "Gaps", "F1"),
	})
	for _, in := range tables.Inputs() {
		rows, err := f.GetRows(sheetName(in))
		require.NoError(t, err)
		require.Len(t, rows, 1, "%s is blank below its header", in.Name)
		require.Less(t, len(rows[0]), 27)
		at := 0
		for _, c := range in.Columns {
			if strings.HasSuffix(c.Name, "_basis") {
				continue
			}
			for range readings(c) {
				folded := strings.ReplaceAll(strings.ToLower(rows[0][at]), " ", "_")
				require.True(t, strings.HasPrefix(folded, c.Name), "%s: %q for %q", in.Name, rows[0][at], c.Name)
				at++
			}
		}
		require.Len(t, rows[0], at)
	}
}

func cellOf(t *testing.T, f *excelize.File, sheet, cell string) string {
	t.Helper()
	v, err := f.GetCellValue(sheet, cell)
	require.NoError(t, err)
	return v
}

func TestRequiredHeadersStandOutAndAllAreExplained(t *testing.T) {
	f, _ := open(t)
	for _, in := range tables.Inputs() {
		sheet := sheetName(in)
		comments, err := f.GetComments(sheet)
		require.NoError(t, err)
		notes := map[string]string{}
		for _, c := range comments {
			notes[c.Cell] = c.Text
			for _, run := range c.Paragraph {
				notes[c.Cell] += run.Text
			}
		}
		for i, fl := range fields(in) {
			cell, err := excelize.CoordinatesToCellName(i+1, 1)
			require.NoError(t, err)
			require.Contains(t, notes[cell], fl.Doc, "%s!%s", sheet, cell)
			require.NotEmpty(t, example(in, fl.Column), "%s.%s has an example", in.Name, fl.Name)
			id, err := f.GetCellStyle(sheet, cell)
			require.NoError(t, err)
			style, err := f.GetStyle(id)
			require.NoError(t, err)
			require.Equal(t, fl.required, style.Font.Bold, "%s!%s", sheet, cell)
			require.Equal(t, fl.required, style.Fill.Color[0] == slate)
			require.Equal(t, fl.required, strings.Contains(notes[cell], "Required."))
		}
	}
}

func checksOf(t *testing.T, f *excelize.File, sheet string) map[string]*excelize.DataValidation {
	t.Helper()
	all, err := f.GetDataValidations(sheet)
	require.NoError(t, err)
	by := map[string]*excelize.DataValidation{}
	for _, dv := range all {
		col, _, _ := strings.Cut(dv.Sqref, "2:")
		require.Equal(t, fmt.Sprintf("%s2:%s1001", col, col), dv.Sqref, sheet)
		by[col] = dv
	}
	return by
}

func TestEveryColumnIsChecked(t *testing.T) {
	f, _ := open(t)
	lists := 0
	for _, in := range tables.Inputs() {
		checks := checksOf(t, f, sheetName(in))
		for i, fl := range fields(in) {
			dv := checks[string(rune('A'+i))]
			where := in.Name + "." + fl.Name
			switch fl.Kind {
			case tables.KindChoice:
				lists++
				require.Equal(t, "list", dv.Type, where)
				require.Equal(t, `"`+strings.Join(fl.Choices, ",")+`"`, dv.Formula1, where)
				require.Equal(t, "stop", *dv.ErrorStyle, where)
			case tables.KindDate:
				require.Equal(t, "date", dv.Type, where)
			case tables.KindClock:
				require.Equal(t, "time", dv.Type, where)
			case tables.KindCount:
				require.Equal(t, []string{"whole", "greaterThanOrEqual", "0"}, []string{dv.Type, dv.Operator, dv.Formula1}, where)
			case tables.KindShare, tables.KindTemperature:
				require.Equal(t, []string{"decimal", "between"}, []string{dv.Type, dv.Operator}, where)
			case tables.KindMass, tables.KindLength, tables.KindLengths, tables.KindVolume, tables.KindDuration, tables.KindNumber:
				require.Equal(t, []string{"decimal", "greaterThanOrEqual", "0"}, []string{dv.Type, dv.Operator, dv.Formula1}, where)
			}
		}
	}
	require.Equal(t, 7, lists)
}

func TestNamesComeFromTheirOwnSheets(t *testing.T) {
	f, _ := open(t)
	for _, c := range []struct{ sheet, column, from string }{
		{"Casts", "D", "Molds!$A$2:$A$1001"}, {"Casts", "E", "Slips!$A$2:$A$1001"}, {"Molds", "B", "Forms!$A$2:$A$1001"}, {"Molds", "D", "Pours!$A$2:$A$1001"},
		{"Pours", "C", "Molds!$A$2:$A$1001"}, {"Gaps", "A", "Pours!$A$2:$A$1001"}, {"Orders", "A", "Forms!$A$2:$A$1001"},
	} {
		dv := checksOf(t, f, c.sheet)[c.column]
		require.Equal(t, "list", dv.Type)
		require.Contains(t, dv.Formula1, c.from, "%s!%s", c.sheet, c.column)
		require.Equal(t, "warning", *dv.ErrorStyle, "a name may be logged before it is listed")
	}
	require.Equal(t, "COUNTIF(A$2:A$1001,A2)=1", checksOf(t, f, "Molds")["A"].Formula1)
}

func TestFormatsKeepNamesAndDates(t *testing.T) {
	f, _ := open(t)
	// A mold named 3-4 must not become a date.
	require.NoError(t, f.SetCellValue("Casts", "D2", "3-4"))
	require.NoError(t, f.SetCellValue("Casts", "B2", 45720))
	require.NoError(t, f.SetCellValue("Casts", "C2", 0.395833333))
	require.NoError(t, f.SetCellValue("Forms", "H2", 0.045))
	require.Equal(t, []string{"3-4", "2025-03-04", "09:30", "4.5%"}, []string{
		cellOf(t, f, "Casts", "D2"), cellOf(t, f, "Casts", "B2"), cellOf(t, f, "Casts", "C2"), cellOf(t, f, "Forms", "H2"),
	})
	id, err := f.GetCellStyle("Casts", "D2")
	require.NoError(t, err)
	style, err := f.GetStyle(id)
	require.NoError(t, err)
	require.Equal(t, 49, style.NumFmt)
}

func TestSheetsPrintWithTheirHeader(t *testing.T) {
	f, _ := open(t)
	var titled []string
	for _, n := range f.GetDefinedName() {
		require.Equal(t, "_xlnm.Print_Titles", n.Name)
		require.Equal(t, n.Scope+"!$1:$1", strings.ReplaceAll(n.RefersTo, "'", ""))
		titled = append(titled, n.Scope)
	}
	for _, in := range tables.Inputs() {
		require.True(t, slices.Contains(titled, sheetName(in)))
		panes, err := f.GetPanes(sheetName(in))
		require.NoError(t, err)
		require.True(t, panes.Freeze)
		require.Equal(t, 1, panes.YSplit)
		layout, err := f.GetPageLayout(sheetName(in))
		require.NoError(t, err)
		require.Equal(t, "landscape", *layout.Orientation)
		require.Equal(t, 1, *layout.FitToWidth)
	}
}

// The first sheet holds every header, so that its words don't run away from
// the sheets.
func TestTheGuideNamesEveryColumn(t *testing.T) {
	f, _ := open(t)
	rows, err := f.GetRows(guideSheet)
	require.NoError(t, err)
	var lines []string
	for _, r := range rows {
		lines = append(lines, strings.Join(r, "\t"))
	}
	all := strings.Join(lines, "\n")
	for _, in := range tables.Inputs() {
		for _, fl := range fields(in) {
			if fl.reading == 1 {
				require.Contains(t, all, "\n"+fl.header, in.Name)
			}
		}
	}
}
