package workbook

import (
	"fmt"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// Programs want the columns of a sheet in order and apart.
func TestColumnsStandInOrder(t *testing.T) {
	f, data := made(t, sample(), nil, usualLimits())
	folded := 0
	for i, name := range f.GetSheetList() {
		next := 1
		for _, c := range regexp.MustCompile(`<col min="(\d+)" max="(\d+)" width="[0-9.]+" customWidth="1"( hidden="1" outlineLevel="1")?/>`).FindAllStringSubmatch(partOf(t, data, fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1)), -1) {
			first, err := strconv.Atoi(c[1])
			require.NoError(t, err)
			last, err := strconv.Atoi(c[2])
			require.NoError(t, err)
			assert.Equal(t, next, first, name)
			require.GreaterOrEqual(t, last, first)
			next = last + 1
			folded += count1(c[3] != "")
		}
		assert.Greater(t, next, 2, name)
	}
	assert.Positive(t, folded)
}

// Of very many problems the first ones are links, and no other cell looks like one.
func TestCellsLookLikeLinksWhereTheyAre(t *testing.T) {
	res := sample()
	res.Problems = nil
	for i := range mostLinks + 10 {
		res.Problems = append(res.Problems, tables.Problem{File: "log.csv", Cell: "B" + number(i+2), Message: "no number"})
	}
	res.Links = map[string]string{"log.csv": "../log.csv"}
	f, _ := made(t, res, nil, usualLimits())
	for i := range len(res.Problems) {
		at := ref(3, headRow+1+i)
		link, target, err := f.GetCellHyperLink(problemsSheet, at)
		require.NoError(t, err)
		require.Equal(t, i < mostLinks, link, at)
		id, err := f.GetCellStyle(problemsSheet, at)
		require.NoError(t, err)
		style, err := f.GetStyle(id)
		require.NoError(t, err)
		require.Equal(t, link, style.Font.Underline == "single", at)
		if link {
			require.Equal(t, "../log.csv", target)
		}
	}
}

func TestRowsOutOfOrderAreAnError(t *testing.T) {
	f := excelize.NewFile()
	s := sheet{b: &book{file: f}, name: "Sheet1", lastCol: 1, lastRow: 3}
	s.cells.add(3, 0, []excelize.Cell{{Value: "below"}})
	s.cells.add(2, 0, []excelize.Cell{{Value: "above"}})
	assert.ErrorContains(t, s.stream(), `row 2 of sheet "Sheet1"`)
}
