package workbook

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func TestPicturesStandBelowTheTableWithAltText(t *testing.T) {
	f, data := made(t, sample(), samplePictures(t), usualLimits())
	for sheet, name := range map[string]string{moldsSheet: "rate_against_age", wallSheet: "wall_against_dwell", livesSheet: "lives", watchSheet: "watch_list", wasteSheet: "plaster"} {
		cells, err := f.GetPictureCells(sheet)
		require.NoError(t, err)
		require.Len(t, cells, 1, sheet)
		_, row, err := excelize.CellNameToCoordinates(cells[0])
		require.NoError(t, err)
		tbls, err := f.GetTables(sheet)
		require.NoError(t, err)
		for _, tbl := range tbls {
			_, end, _ := strings.Cut(tbl.Range, ":")
			_, last, err := excelize.CellNameToCoordinates(end)
			require.NoError(t, err)
			assert.Greater(t, row, last, sheet)
		}
		found := false
		for i := 1; i <= 8; i++ {
			found = found || strings.Contains(optional(data, fmt.Sprintf("xl/drawings/drawing%d.xml", i)), "Alternative text of "+name)
		}
		assert.True(t, found, name)
	}
}

func TestNativeChartsFollowTheirTables(t *testing.T) {
	_, data := made(t, sample(), nil, usualLimits())
	first := partOf(t, data, "xl/charts/chart1.xml")
	assert.Contains(t, first, "&#39;Remaining casts&#39;!$G$6:$G$17")
	second := partOf(t, data, "xl/charts/chart2.xml")
	assert.Contains(t, second, "&#39;Waste&#39;!$B$7:$B$10", "the rows of the causes")
}

func TestBrokenPictureIsAnError(t *testing.T) {
	pics := samplePictures(t)
	pics[0].PNG = []byte("no picture")
	assert.ErrorContains(t, Write(io.Discard, sample(), pics), "wall_against_dwell")
}
