package workbook

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/advice"
)

func TestSummarySaysWhatToDoFirst(t *testing.T) {
	f, _ := made(t, sample(), nil, usualLimits())
	rows, err := f.GetRows(summarySheet)
	require.NoError(t, err)
	assert.Contains(t, rows[0][0], "2026-03-14")
	at := func(text string) int {
		return slices.IndexFunc(rows, func(r []string) bool { return slices.Contains(r, text) })
	}
	potter, shelf, plaster, figures := at(advice.ForPotter), at(advice.ForShelf), at(advice.ForInstructor), at("Key figures")
	require.Positive(t, potter)
	assert.Less(t, potter, shelf)
	assert.Less(t, shelf, plaster)
	assert.Less(t, plaster, figures)
	assert.Less(t, figures, 25, "advice must fit on the first screen")
	assert.Equal(t, "NOW", rows[potter+1][0], "urgent advice comes first")
	assert.Contains(t, rows[potter+1][1], "M-13 now needs 47 min")
	ok, link, err := f.GetCellHyperLink(summarySheet, ref(sheetCol, potter+2))
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, "'Dwell guide'!A1", link)
}

func TestMuchAdviceLeavesRoomForEveryReader(t *testing.T) {
	res := sample()
	for i := range 40 {
		res.Advice = append(res.Advice, advice.Item{For: advice.ForPotter, Urgent: true, Finding: fmt.Sprintf("finding %d", i)})
	}
	f, _ := made(t, res, nil, usualLimits())
	rows, err := f.GetRows(summarySheet)
	require.NoError(t, err)
	at := func(text string) int {
		return slices.IndexFunc(rows, func(r []string) bool { return slices.Contains(r, text) })
	}
	assert.Less(t, at(advice.ForInstructor), 20)
	assert.Equal(t, at("and 36 more: see “More to do” below"), at(advice.ForShelf)-1)
	assert.Greater(t, at("finding 39"), at("More to do"))
}

func TestLinksLeadToSheetsThatExist(t *testing.T) {
	res := sample()
	res.Life.Remaining, res.Life.WhyNot = nil, "no form has a longest dwell"
	_, data := made(t, res, nil, usualLimits())
	sheet := partOf(t, data, "xl/worksheets/sheet1.xml")
	assert.Contains(t, sheet, "Watch list")
	assert.NotContains(t, sheet, "Remaining casts'!", "no link to a sheet that is not there")
}

func TestKeyFiguresHaveNames(t *testing.T) {
	f, _ := made(t, sample(), nil, usualLimits())
	got := map[string]string{}
	for _, n := range f.GetDefinedName() {
		if n.Scope != "Workbook" && n.Scope != "" {
			continue
		}
		_, cell, ok := strings.Cut(strings.ReplaceAll(n.RefersTo, "$", ""), "!")
		require.True(t, ok)
		v, err := f.GetCellValue(summarySheet, cell, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		got[n.Name] = v
	}
	assert.Equal(t, "12", got["molds_in_use"])
	assert.Equal(t, "1", got["molds_flagged"])
	assert.Equal(t, "14", got["plaster_bags"])
	assert.Equal(t, "55.2", got["plaster_wasted_kg"])
}

func TestSheetLeftOutIsExplainedOnce(t *testing.T) {
	res := sample()
	res.Plaster.Pours, res.Plaster.By, res.Plaster.Overmix, res.Plaster.Cuts, res.Plaster.Budget, res.Plaster.Savings = nil, nil, nil, nil, nil, nil
	res.Plaster.WhyNot = "no pours were read"
	res.NotGiven = []advice.Missing{{Answer: "plaster and waste", Because: "no pours were read", Add: "a pours sheet"}}
	f, _ := made(t, res, nil, usualLimits())
	assert.NotContains(t, f.GetSheetList(), wasteSheet)
	found, err := f.SearchSheet(summarySheet, "no pours were read", true)
	require.NoError(t, err)
	assert.Len(t, found, 1)
}
