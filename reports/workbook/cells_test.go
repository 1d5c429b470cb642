package workbook

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

var badCell = regexp.MustCompile(`^(#(NULL!|DIV/0!|VALUE!|REF!|NAME\?|NUM!|N/A)|[+-]?(NaN|Inf|∞)|<nil>|[-+]?\d(\.\d+)?[eE][-+]\d+)$`)

// No cell shows an error, an absent number, or a number without a number
// format, which would show all the digits that the cell holds. That goes for
// results without a price, and in US units.
func TestEveryCellShowsWhatIsKnown(t *testing.T) {
	for name, change := range map[string]func(*pipeline.Result){
		"metric":        func(*pipeline.Result) {},
		"us":            func(r *pipeline.Result) { r.Settings.Units = format.US },
		"without price": withoutPrice,
	} {
		t.Run(name, func(t *testing.T) {
			res := sample()
			change(&res)
			f, _ := made(t, res, nil, usualLimits())
			for _, sheet := range f.GetSheetList() {
				everyCell(t, f, sheet)
			}
		})
	}
}

func everyCell(t *testing.T, f *excelize.File, sheet string) {
	t.Helper()
	rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	for i, row := range rows {
		for j, v := range row {
			if v == "" {
				continue
			}
			at := ref(j+1, i+1)
			assert.NotRegexp(t, badCell, v, "%s!%s", sheet, at)
			if kind, err := f.GetCellType(sheet, at); err != nil || kind == excelize.CellTypeSharedString || kind == excelize.CellTypeInlineString || kind == excelize.CellTypeFormula {
				continue
			}
			if _, err := strconv.ParseFloat(v, 64); err == nil {
				assert.NotEmpty(t, codeOf(t, f, sheet, at), "%s!%s = %s has no number format", sheet, at, v)
			}
		}
	}
}

func codeOf(t *testing.T, f *excelize.File, sheet, cell string) string {
	t.Helper()
	id, err := f.GetCellStyle(sheet, cell)
	require.NoError(t, err)
	s, err := f.GetStyle(id)
	require.NoError(t, err)
	switch {
	case s.CustomNumFmt != nil:
		return *s.CustomNumFmt
	case s.NumFmt > 0:
		return strconv.Itoa(s.NumFmt)
	}
	return ""
}

// withoutPrice is a studio without a price list: costs are empty until the
// reader types a price.
func withoutPrice(r *pipeline.Result) {
	p, none := &r.Plaster, tables.Absent()
	p.Priced, p.PriceKg = false, none
	for i := range p.Budget {
		b := &p.Budget[i]
		b.CostP10, b.CostP50, b.CostP90, b.BagsCost = none, none, none, none
	}
	for i := range p.WhatIf {
		p.WhatIf[i].Cost, p.WhatIf[i].SavedCost = none, none
	}
}

func TestWithoutAPriceTheBudgetWaitsForOne(t *testing.T) {
	res := sample()
	withoutPrice(&res)
	f, data := made(t, res, nil, usualLimits())
	index, err := f.GetSheetIndex(budgetSheet)
	require.NoError(t, err)
	sheet := partOf(t, data, fmt.Sprintf("xl/worksheets/sheet%d.xml", index+1))
	assert.Contains(t, sheet, "*plaster_price")
	assert.Contains(t, sheet, ` t="str"><f>IF(N(plaster_price)&gt;0,IF(ISNUMBER(plaster_bags),plaster_bags*bag_size*plaster_price,&#34;&#34;),&#34;no price&#34;)</f><v>no price</v>`)
	containing(t, rowsOf(t, f, budgetSheet), "no price")
}

// Results of formulas stand in the file, numbers as numbers: readers that don't
// calculate see them.
func TestFormulasCarryTheirResults(t *testing.T) {
	_, data := made(t, sample(), nil, usualLimits())
	formulas := 0
	for i := 1; i < 30; i++ {
		sheet := optional(data, fmt.Sprintf("xl/worksheets/sheet%d.xml", i))
		for _, c := range regexp.MustCompile(`<c [^>]*><f>[^<]*</f>(<v>([^<]*)</v>)?</c>`).FindAllStringSubmatch(sheet, -1) {
			formulas++
			require.NotEmpty(t, c[1], c[0])
			_, err := strconv.ParseFloat(c[2], 64)
			assert.Equal(t, err != nil, strings.Contains(c[0], ` t="str"`), c[0])
		}
	}
	assert.Greater(t, formulas, 300)
}

// Pages print large enough to read: text of 10 points comes out at 7 at least,
// and the figures of the sheets for the wall at 8.
func TestSheetsPrintLargeEnoughToRead(t *testing.T) {
	for _, paper := range []format.Paper{"", format.Letter} {
		res := sample()
		res.Settings.Paper = paper
		f, _ := made(t, res, nil, usualLimits())
		size := map[format.Paper]int{"": 9, format.Letter: 1}[paper]
		for _, sheet := range f.GetSheetList() {
			layout, err := f.GetPageLayout(sheet)
			require.NoError(t, err)
			assert.Equal(t, size, *layout.Size, sheet)
			across, down := format.Paper(paper).Size()
			if *layout.Orientation == "landscape" {
				across = down
			}
			least := 0.7
			if sheet == dwellSheet || sheet == daySheet || sheet == runMixSheet {
				least = 0.6 // their figures are set in 13 points and more
			}
			assert.Greater(t, (across-2*marginSide)/printedWidth(t, f, sheet), least, "%s on %q", sheet, paper)
		}
	}
}

// printedWidth is how wide the columns of a sheet are that are not folded away, in points.
func printedWidth(t *testing.T, f *excelize.File, sheet string) float64 {
	t.Helper()
	dimension, err := f.GetSheetDimension(sheet)
	require.NoError(t, err)
	_, last, _ := strings.Cut(dimension, ":")
	cols, _, err := excelize.CellNameToCoordinates(last)
	require.NoError(t, err)
	var width float64
	for i := 1; i <= cols; i++ {
		col, err := excelize.ColumnNumberToName(i)
		require.NoError(t, err)
		if shown, err := f.GetColVisible(sheet, col); err != nil || !shown {
			continue
		}
		w, err := f.GetColWidth(sheet, col)
		require.NoError(t, err)
		width += (w*charPixels + 5) / pixelsPerPoint
	}
	return width
}

func TestUSReportsPrintOnLetterUnlessAskedOtherwise(t *testing.T) {
	b := book{res: pipeline.Result{Settings: pipeline.Settings{Units: format.US}}}
	assert.Equal(t, format.Letter, b.paper())
	b.res.Settings.Paper = format.A4
	assert.Equal(t, format.A4, b.paper())
}
