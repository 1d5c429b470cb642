package workbook

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"moldwright/pipeline/tables"
)

func TestValuesShowOnlyKnownDigits(t *testing.T) {
	for _, c := range []struct {
		v    value
		code string
		text string
	}{
		{wallMM(4.0449), "0.0", "4.0"},
		{dwellMin(7.3), "0.0", "7.5"},
		{dwellMin(22.4), "0", "22"},
		{rateK(0.8649), "0.00", "0.86"},
		{rateK(12.3), "0", "12"},
		{massKg(0.347), "0.00", "0.35"},
		{massKg(281), "0", "281"},
		{percent(0.9991), `">99%"`, ">99 %"},
		{percent(1), "0%", "100 %"},
		{percent(0), "0%", "0 %"},
		{finePercent(0.00412), "0.00%", "0.41 %"},
		{alike(-0.004123, 0.00051), "0.00000", "−0.00412"},
		{alike(2, math.NaN()), "0", "2"},
		{alike(0.5, math.NaN()), "0.0", "0.5"},
		{alike(100, 0), "0", "100"},
		{significant(0, 2), "0", "0"},
		{day(tables.MakeDate(1850, 1, 1)), "", "1850-01-01"},
		{day(tables.MakeDate(2026, 3, 14)), "yyyy-mm-dd", "2026-03-14"},
	} {
		assert.Equal(t, c.code, c.v.code, c.text)
		assert.Equal(t, c.text, c.v.text)
	}
	assert.Equal(t, value{}, fixed(math.NaN(), 1))
	assert.Equal(t, value{}, count(tables.NoCount))
	assert.Equal(t, value{}, day(tables.NoDate))
}

func TestLinesOfWrappedText(t *testing.T) {
	l := bodyLook()
	one := textPixels("wall", l)
	assert.Equal(t, 1, lines("wall", one, l))
	assert.Equal(t, 2, lines("wall wall", one+1, l))
	assert.Equal(t, 3, lines("wall\n\nwall", one+1, l))
	assert.Equal(t, 1, lines("", 0, l))
	assert.Greater(t, lines(strings.Repeat("m", 300), 100, l), 20)
	assert.LessOrEqual(t, linesHeight(10_000, l), 409.0, "spreadsheet programs refuse higher rows")
}

func TestSpansNameTheirUnitOnce(t *testing.T) {
	assert.Equal(t, "0.18–0.58 %", span(finePercent(0.0018), finePercent(0.0058)).text)
	assert.Equal(t, "−0.10 to 1.2 %", span(finePercent(-0.001), finePercent(0.012)).text)
	assert.Equal(t, "7.5–9.5", span(dwellMin(7.6), dwellMin(9.4)).text)
	assert.Equal(t, value{}, span(wallMM(math.NaN()), wallMM(2)))
}
