package workbook

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

func TestValuesShowOnlyKnownDigits(t *testing.T) {
	in, us := written{}, written{format.US, format.MonthDay}
	for _, c := range []struct {
		v    value
		code string
		text string
	}{
		{in.wall(4.0449), "0.0", "4.0"},
		{dwellMin(7.3), "0.0", "7.5"},
		{dwellMin(22.4), "0", "22"},
		{in.rate(0.8649), "0.00", "0.86"},
		{in.rate(12.3), "0", "12"},
		{in.mass(0.347), "0.00", "0.35"},
		{in.mass(281), "0", "281"},
		{percent(0.9991), `">99%"`, ">99 %"},
		{percent(1), "0%", "100 %"},
		{percent(0), "0%", "0 %"},
		{finePercent(0.00412), "0.00%", "0.41 %"},
		{alike(-0.004123, 0.00051), "0.00000", "−0.00412"},
		{alike(2, math.NaN()), "0", "2"},
		{alike(0.5, math.NaN()), "0.0", "0.5"},
		{alike(100, 0), "0", "100"},
		{significant(0, 2), "0", "0"},
		{in.day(tables.MakeDate(1850, 1, 1)), "", "1850-01-01"},
		{in.day(tables.MakeDate(2026, 3, 14)), "yyyy-mm-dd", "2026-03-14"},
		{in.weekday(tables.MakeDate(2026, 3, 14)), "ddd yyyy-mm-dd", "Sat 2026-03-14"},
		{in.ruler(33.4), "0", "33"},
		{in.rulerDown(33.9), "0", "33"},
		{us.wall(5.2), "0.000", "0.205"},
		{us.rate(0.8649), "0.000", "0.080"},
		{us.mass(0.347), "0.00", "0.77"},
		{us.mass(12.34), "0.0", "27.2"},
		{us.mass(281), "0", "619"},
		{us.weighed(3.4), "0.00", "7.50"},
		{us.ruler(33.4), "# ??/??", "1 5/16"},
		{us.rulerDown(33.2), "# ??/??", "1 1/4"},
		{us.day(tables.MakeDate(2026, 3, 4)), "mmm d, yyyy", "Mar 4, 2026"},
		{written{days: format.DayMonth}.weekday(tables.MakeDate(2026, 3, 4)), "ddd d mmm yyyy", "Wed 4 Mar 2026"},
	} {
		assert.Equal(t, c.code, c.v.code, c.text)
		assert.Equal(t, c.text, c.v.text)
	}
	assert.Equal(t, value{}, fixed(math.NaN(), 1))
	assert.Equal(t, value{}, count(tables.NoCount))
	assert.Equal(t, value{}, in.day(tables.NoDate))
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
	in := written{}
	assert.Equal(t, "0.18–0.58 %", span(finePercent(0.0018), finePercent(0.0058)).text)
	assert.Equal(t, "−0.10 to 1.2 %", span(finePercent(-0.001), finePercent(0.012)).text)
	assert.Equal(t, "7.5–9.5", span(dwellMin(7.6), dwellMin(9.4)).text)
	assert.Equal(t, value{}, span(in.wall(math.NaN()), in.wall(2)))
}
