package workbook

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func TestEverySheetHasTheCommonFrame(t *testing.T) {
	f, _ := made(t, sample(), samplePictures(t), usualLimits())
	names := map[string]bool{}
	for _, sheet := range f.GetSheetList()[1:] {
		title, err := f.GetCellValue(sheet, "A1")
		require.NoError(t, err)
		note, err := f.GetCellValue(sheet, "A2")
		require.NoError(t, err)
		assert.NotEmpty(t, title, sheet)
		assert.NotEmpty(t, note, sheet)
		ok, link, err := f.GetCellHyperLink(sheet, "A4")
		require.NoError(t, err)
		assert.True(t, ok, sheet)
		assert.Equal(t, "'Summary'!A1", link)
		panes, err := f.GetPanes(sheet)
		require.NoError(t, err)
		assert.Equal(t, headRow, panes.YSplit, sheet)
		tbls, err := f.GetTables(sheet)
		require.NoError(t, err)
		require.NotEmpty(t, tbls, sheet)
		for _, tbl := range tbls {
			assert.False(t, names[tbl.Name], "table name %s twice", tbl.Name)
			names[tbl.Name] = true
			assert.NotRegexp(t, regexp.MustCompile(`(?i)^([a-z]{1,3}\d+|r\d*c\d*)$`), tbl.Name)
			headersDiffer(t, f, sheet, tbl.Range)
		}
		assert.True(t, strings.HasPrefix(tbls[0].Range, "A5:"), sheet)
	}
}

// headersDiffer checks that a table's headers are there and differ in more than case.
func headersDiffer(t *testing.T, f *excelize.File, sheet, area string) {
	t.Helper()
	from, to, _ := strings.Cut(area, ":")
	first, row, err := excelize.CellNameToCoordinates(from)
	require.NoError(t, err)
	last, _, err := excelize.CellNameToCoordinates(to)
	require.NoError(t, err)
	seen := map[string]bool{}
	for col := first; col <= last; col++ {
		head, err := f.GetCellValue(sheet, ref(col, row))
		require.NoError(t, err)
		assert.NotEmpty(t, head)
		assert.False(t, seen[strings.ToLower(head)], "%s: header %q twice", sheet, head)
		seen[strings.ToLower(head)] = true
	}
}

func TestProblemsSheetSaysWhenThereAreNone(t *testing.T) {
	res := sample()
	res.Problems = nil
	f, _ := made(t, res, nil, usualLimits())
	text, err := f.GetCellValue(problemsSheet, "A5")
	require.NoError(t, err)
	assert.Contains(t, text, "Nothing to mend")
}

func TestDimensionHoldsEveryCell(t *testing.T) {
	for _, lim := range []limits{usualLimits(), {most: 100}} {
		f, data := made(t, sample(), samplePictures(t), lim)
		for i, sheet := range f.GetSheetList() {
			xml := partOf(t, data, fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1))
			declared := regexp.MustCompile(`<dimension ref="A1:([A-Z]+)(\d+)"`).FindStringSubmatch(xml)
			require.NotNil(t, declared, sheet)
			mostCol, err := excelize.ColumnNameToNumber(declared[1])
			require.NoError(t, err)
			mostRow, err := strconv.Atoi(declared[2])
			require.NoError(t, err)
			col, row := 0, 0
			for _, c := range regexp.MustCompile(`<c [^>]*\br="([A-Z]+\d+)"`).FindAllStringSubmatch(xml, -1) {
				x, y, err := excelize.CellNameToCoordinates(c[1])
				require.NoError(t, err)
				col, row = max(col, x), max(row, y)
			}
			assert.Equal(t, row, mostRow, sheet)
			assert.GreaterOrEqual(t, mostCol, col, sheet)
			assert.LessOrEqual(t, mostCol, col+20, sheet)
		}
	}
}

func TestTablesBeyondTheLimitAreSampled(t *testing.T) {
	res := sample()
	f, data := made(t, res, nil, limits{most: 110})
	lead, err := f.GetCellValue(castsSheet, "A3")
	require.NoError(t, err)
	assert.Equal(t, "Shown here: 101 of 300 rows, the one that needs action, every 3rd of the others. The full table: tables/casts_used.csv.", lead)
	tbls, err := f.GetTables(castsSheet)
	require.NoError(t, err)
	require.Len(t, tbls, 1)
	assert.Equal(t, "A5:L106", tbls[0].Range)
	last, err := f.GetCellValue(castsSheet, "L106")
	require.NoError(t, err)
	assert.Equal(t, strconv.Itoa(int(res.Wall.Used[298].Row)), last)
	index := slices.Index(f.GetSheetList(), castsSheet) + 1
	xml := partOf(t, data, fmt.Sprintf("xl/worksheets/sheet%d.xml", index))
	for _, kept := range []string{"<conditionalFormatting", "<hyperlink ", "<pageSetup", "<headerFooter", "<pane ", "<tablePart ", "<cols>"} {
		assert.Contains(t, xml, kept, "beside the cells")
	}
}
