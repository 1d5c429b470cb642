package workbook

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// Every link of the first sheet leads to a cell that is there, and where a
// figure stands beside the link, that cell holds it.
func TestEveryLinkOfTheFirstSheetLeadsToItsFigure(t *testing.T) {
	res := sample()
	res.Advice = append(res.Advice, sampleOrderAdvice())
	f, _ := made(t, res, samplePictures(t), usualLimits())
	raw := excelize.Options{RawCellValue: true}
	rows, err := f.GetRows(summarySheet, raw)
	require.NoError(t, err)
	links, figures := 0, 0
	for i := range rows {
		ok, link, err := f.GetCellHyperLink(summarySheet, ref(sheetCol, i+1))
		require.NoError(t, err)
		if !ok {
			continue
		}
		links++
		sheet, cell, found := strings.Cut(link, "!")
		require.True(t, found, link)
		sheet = strings.Trim(sheet, "'")
		require.Contains(t, f.GetSheetList(), sheet)
		there, err := f.GetCellValue(sheet, cell, raw)
		require.NoError(t, err)
		assert.NotEmpty(t, there, "%s leads to an empty cell", link)
		if figure, err := f.GetCellValue(summarySheet, ref(figureCol, i+1), raw); err == nil && figure != "" {
			figures++
			if x, err := strconv.ParseFloat(there, 64); err == nil {
				y, err := strconv.ParseFloat(figure, 64)
				require.NoError(t, err)
				assert.InEpsilon(t, x+1, y+1, 1e-12, "row %d: %s", i+1, link)
			} else {
				assert.Equal(t, there, figure, "row %d: %s", i+1, link)
			}
			assert.Equal(t, sheet+" "+cell, rows[i][sheetCol-1])
		}
	}
	assert.Greater(t, links, 40)
	assert.Greater(t, figures, 18)
}
