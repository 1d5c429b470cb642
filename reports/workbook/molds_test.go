package workbook

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
	assert.Equal(t, "4.1", at(headRow, "Next wall (mm)"))
	assert.Equal(t, "retired", at(headRow+13, "Status"), "ended molds come last")
	assert.Equal(t, endedWords, flagWords(true, "broken"))
	assert.Empty(t, at(headRow+13, "Casts left"))
}

func TestDwellGuideMarksWhatIsTooLong(t *testing.T) {
	f, _ := made(t, sample(), nil, usualLimits())
	rows, err := f.GetRows(dwellSheet)
	require.NoError(t, err)
	for _, r := range rows[headRow : headRow+11] {
		if r[0] == "M-13" { // mug, 44 min and more each step, 45 accepted
			assert.Equal(t, "44", r[4])
			assert.Equal(t, "46 !", r[6])
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
	}
	f, _ := made(t, res, nil, usualLimits())
	rows, err := f.GetRows(dwellSheet)
	require.NoError(t, err)
	assert.Equal(t, "over a day", rows[headRow][4])
	assert.Empty(t, rows[headRow][5])
}
