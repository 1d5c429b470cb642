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
	week, run, term, figures := starting(rows, "This week"), starting(rows, "The run"), starting(rows, "The term"), at("Key figures")
	require.Positive(t, week)
	assert.Less(t, week, run)
	assert.Less(t, run, term)
	assert.Less(t, term, figures)
	assert.Less(t, figures, 25, "advice must fit on the first screen")
	assert.Equal(t, "Molds in use: 12; of these 1 wear out early, 3 have 5 casts or fewer left.", rows[week+1][1])
	assert.Contains(t, rows[run+1][1], "Of 5 orders, by verdict: on time: 1")
	assert.Contains(t, rows[term+1][1], "Mixed so far: 281 kg, of which 55.2 kg lost (20 %). To order for 2026-03-15 to 2026-09-14: 14 bags of 25 kg.")
	assert.Equal(t, "NOW", rows[week+2][0], "urgent advice comes first")
	assert.Contains(t, rows[week+2][1], "M-13 now needs 47 min")
}

// starting is the row whose first cell begins so.
func starting(rows [][]string, with string) int {
	return slices.IndexFunc(rows, func(r []string) bool { return len(r) > 0 && strings.HasPrefix(r[0], with) })
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
	assert.Less(t, starting(rows, "The term"), 20)
	assert.Equal(t, at("and 38 more: see “More to do” below"), starting(rows, "The run")-1)
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
		sheet, cell, ok := strings.Cut(strings.ReplaceAll(n.RefersTo, "$", ""), "!")
		require.True(t, ok)
		v, err := f.GetCellValue(strings.Trim(sheet, "'"), cell, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		got[n.Name] = v
	}
	assert.Equal(t, "12", got["molds_in_use"])
	assert.Equal(t, "1", got["molds_flagged"])
	assert.Equal(t, "14", got["plaster_bags"])
	assert.Equal(t, "55.2", got["plaster_wasted"])
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
