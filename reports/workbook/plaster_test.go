package workbook

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// rowsOf is the text of a sheet as a reader sees it, by row.
func rowsOf(t *testing.T, f *excelize.File, sheet string) []string {
	t.Helper()
	rows, err := f.GetRows(sheet)
	require.NoError(t, err)
	out := make([]string, len(rows))
	for i, r := range rows {
		out[i] = strings.Join(r, "|")
	}
	return out
}

func containing(t *testing.T, rows []string, text string) string {
	t.Helper()
	for _, r := range rows {
		if strings.Contains(r, text) {
			return r
		}
	}
	require.Fail(t, "no row holds "+text, strings.Join(rows, "\n"))
	return ""
}

func TestBudgetIsOnePrintedPage(t *testing.T) {
	f, data := made(t, sample(), samplePictures(t), usualLimits())
	layout, err := f.GetPageLayout(budgetSheet)
	require.NoError(t, err)
	require.NotNil(t, layout.FitToHeight)
	assert.Equal(t, 1, *layout.FitToHeight)
	assert.Equal(t, 1, *layout.FitToWidth)
	props, err := f.GetSheetProps(budgetSheet)
	require.NoError(t, err)
	assert.True(t, *props.FitToPage)
	area := ""
	for _, n := range f.GetDefinedName() {
		if n.Scope != budgetSheet {
			continue
		}
		assert.NotEqual(t, "_xlnm.Print_Titles", n.Name)
		if n.Name == "_xlnm.Print_Area" {
			area = n.RefersTo
		}
	}
	assert.Regexp(t, `^'Budget'!\$A\$1:\$[A-Z]+\$\d+$`, area)
	index, err := f.GetSheetIndex(budgetSheet)
	require.NoError(t, err)
	assert.NotContains(t, partOf(t, data, fmt.Sprintf("xl/worksheets/sheet%d.xml", index+1)), "<rowBreaks")
}

func TestBudgetClaimsWhatToBuy(t *testing.T) {
	f, _ := made(t, sample(), nil, usualLimits())
	rows := rowsOf(t, f, budgetSheet)
	assert.Equal(t, "We need about 280 kg of plaster (80 % interval 230 to 340 kg): buy 14 bags of 25 kg, which cost 402 by the price list.", rows[2])
	assert.Contains(t, containing(t, rows, "halving the plaster left over|"), "|11|8.0–14|13.00|270|310.00")
	containing(t, rows, "halving the failed pours, halving the plaster left over: its share of the plaster of 35 pours")
	containing(t, rows, "How it was worked out")
}

func TestWasteVerdictIsMarkedOnlyWhereItCallsForAction(t *testing.T) {
	f, _ := made(t, sample(), nil, usualLimits())
	rows := rowsOf(t, f, wasteSheet)
	assert.Contains(t, containing(t, rows, "class|C2|"), "|above usual|")
	assert.Contains(t, containing(t, rows, "class|C1|"), "|usual|")
	assert.Contains(t, containing(t, rows, "class|not given|"), "|not compared|", "pours that name no class are no class")
	assert.Equal(t, "More waste than chance explains: class C2.", rows[2])
	formats, err := f.GetConditionalFormats(wasteSheet)
	require.NoError(t, err)
	require.NotEmpty(t, formats)
	for at, rules := range formats {
		for _, r := range rules {
			assert.Contains(t, r.Criteria, `="above usual"`, at)
		}
	}
}

func TestCutBlocksAreWholeAndRoundedDown(t *testing.T) {
	res := sample()
	res.Plaster.Cuts = []tables.CutDepth{{Pour: "P035", HeightMM: 20, GapMM: 40, CutMM: 80.0 / 3}, {Pour: "P035", HeightMM: 60, GapMM: 24, CutMM: 12}, {Pour: "P035", HeightMM: 90, GapMM: 11, CutMM: 0}, {Pour: "new", HeightMM: 0, GapMM: 42, CutMM: 42 * 2.0 / 3}}
	f, _ := made(t, res, nil, usualLimits())
	rows := rowsOf(t, f, cutsSheet)
	containing(t, rows, "20|3/4 in|40|26|1 in")
	containing(t, rows, "0|0 in|42|28|1 1/16 in")
	assert.Contains(t, containing(t, rows, "60|2 5/16 in|24|12|"), written{}.thinWords())
	assert.Contains(t, containing(t, rows, "90|3 1/2 in|11|0|0 in"), noCutWords)
	text := strings.Join(rows, "\n")
	assert.Less(t, strings.Index(text, "Pour new"), strings.Index(text, "Pour P035"), "a pour that is not poured yet comes first")
	assert.Equal(t, 2, strings.Count(text, "Only as good as the measured gaps"))
}

func TestPoursSayWhatToLookAt(t *testing.T) {
	f, _ := made(t, sample(), nil, usualLimits())
	assert.Contains(t, containing(t, rowsOf(t, f, poursSheet), "P006|"), lostWords)
	assert.Contains(t, containing(t, rowsOf(t, f, poursSheet), "P004|"), tooMuchWords)
	assert.Contains(t, containing(t, rowsOf(t, f, balanceSheet), "P004|"), tooMuchWords)
	mixed := containing(t, rowsOf(t, f, mixSheet), "P001|")
	assert.Contains(t, mixed, "|3.97|2.78|8.8|6.1|")
	assert.Equal(t, "Over a whole life a good cast takes 0.12 kg of plaster (0.14) from a multi-part mold and 0.28 kg of plaster (0.32) from a split one.", rowsOf(t, f, moldCostSheet)[2])
	over := rowsOf(t, f, overmixSheet)
	assert.Contains(t, containing(t, over, "all|K2|"), mixLessWords)
	assert.NotContains(t, strings.Join(over, "\n"), "mug|K2", "two pours tell nothing beyond form and maker")
}

// The sheets that have kg and lb, mm and in beside each other are in one unit in a
// US report. 1 lb is 0.45359237 kg and 1 qt is 0.946352946 L (NIST SP 811).
func TestMixAndCutsInUSUnits(t *testing.T) {
	res := sample()
	res.Settings.Units = format.US
	res.Plaster.Cuts = []tables.CutDepth{{Pour: "P035", HeightMM: 20, GapMM: 40, CutMM: 80.0 / 3}, {Pour: "P035", HeightMM: 60, GapMM: 24, CutMM: 12}, {Pour: "P035", HeightMM: 90, GapMM: 11, CutMM: 0}}
	f, _ := made(t, res, nil, usualLimits())
	rows := rowsOf(t, f, cutsSheet)
	containing(t, rows, "Height (in)|Gap (in)|Cut no deeper than (in)|Watch")
	containing(t, rows, "13/16 in|1 9/16 in|1 in")
	assert.Contains(t, containing(t, rows, "2 3/8 in|15/16 in|7/16 in|"), "thin: under 1 in")
	assert.Contains(t, containing(t, rows, "3 9/16 in|7/16 in|0 in"), noCutWords)
	assert.Contains(t, rows[1], "than 1/2 in; rounded down")
	rows = rowsOf(t, f, mixSheet)
	assert.Equal(t, "Pour|Volume to fill (qt)|Range of volume (qt)|Told by|Water per 100 plaster|Plaster (lb)|Water (lb)|Mold just set (lb)|Mold dry (lb)", rows[headRow-1])
	m := res.Plaster.Mixes[0]
	containing(t, rows, fmt.Sprintf("%s|%.2f|", m.Pour, m.NeededL/0.946352946))
	containing(t, rows, fmt.Sprintf("|%.2f|%.2f|", m.PlasterKg/0.45359237, m.WaterKg/0.45359237))
	assert.Contains(t, rowsOf(t, f, massSheet)[1], "Dry below about 113 °F: gypsum loses water of its own above about 122 °F.")
	assert.Contains(t, rowsOf(t, f, budgetSheet)[2], "We need about 620 lb of plaster (80 % interval 500 to 750 lb): buy 14 bags of 55.1 lb")
}
