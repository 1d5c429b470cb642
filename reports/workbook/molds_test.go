package workbook

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

func TestMoldsSheetPutsStateForecastAndFlagSideBySide(t *testing.T) {
	f, _ := made(t, sample(), nil, usualLimits())
	rows, err := f.GetRows(moldsSheet)
	require.NoError(t, err)
	at := func(row int, head string) string { return rows[row][slices.Index(rows[headRow-1], head)] }
	assert.Equal(t, "M-01", at(headRow, "Mold"))
	assert.Equal(t, flaggedWords, at(headRow, "Watch"))
	assert.Equal(t, fewWords, at(headRow, "Outlook"))
	assert.Equal(t, "2", at(headRow, "Casts left"))
	wear := slices.IndexFunc(rows, func(r []string) bool { return len(r) > 0 && r[0] == "Wear of mold" })
	require.Positive(t, wear)
	assert.Equal(t, "4.1", rows[wear+1][slices.Index(rows[wear], "Next wall (mm)")])
	assert.Equal(t, "retired", at(headRow+13, "Status"), "ended molds come last")
	assert.Equal(t, endedWords, flagWords(true, "broken"))
	assert.LessOrEqual(t, len(rows[headRow+13]), slices.Index(rows[headRow-1], "Casts left"), "no forecast for an ended mold")
}

func TestDwellGuideMarksWhatIsTooLong(t *testing.T) {
	f, data := made(t, sample(), nil, usualLimits())
	rows, err := f.GetRows(dwellSheet, excelize.Options{RawCellValue: true}) // the library knows no number formats with conditions
	require.NoError(t, err)
	assert.Contains(t, partOf(t, data, "xl/styles.xml"), `formatCode="[&lt;10]0.0&#34; !&#34;;0&#34; !&#34;"`)
	for _, r := range rows[headRow : headRow+11] {
		if r[0] == "M-13" { // mug, 44 min and more each step, 45 accepted
			assert.Equal(t, "44", r[4])
			assert.Equal(t, "46", r[6], "the sign comes by the conditional format")
			assert.Equal(t, "39–55", r[7])
			return
		}
	}
	t.Fatal("M-13 is not on the dwell guide")
}

func TestDwellGuideSaysWhereADwellIsOutOfReach(t *testing.T) {
	res := sample()
	for i := range res.Wall.Guide[:2] { // the first two ages of the first mold
		g := &res.Wall.Guide[i]
		g.DwellMin, g.DwellLower90, g.DwellUpper90 = tables.Absent(), tables.Absent(), tables.Absent()
		g.LawA, g.LawPower, g.LawB = 200, 2, 0
		g.SpreadLower, g.SpreadUpper = tables.Absent(), tables.Absent()
	}
	f, _ := made(t, res, nil, usualLimits())
	rows, err := f.GetRows(dwellSheet, excelize.Options{RawCellValue: true}) // the library knows no number formats with conditions
	require.NoError(t, err)
	assert.Equal(t, "over a day", rows[headRow][4])
	assert.Empty(t, rows[headRow][5])
}
