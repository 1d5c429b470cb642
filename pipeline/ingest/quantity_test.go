package ingest

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func known(t testing.TB, name string, dim dimension) unit {
	t.Helper()
	u, ok := lookUnit(name, dim)
	require.True(t, ok, name)
	return u
}

func TestQuantities(t *testing.T) {
	for _, c := range []struct {
		text string
		unit string
		dim  dimension
		want float64
	}{
		{"5.2", "mm", length, 5.2},
		{"5,2", "mm", length, 5.2},
		{"5.2 mm", "in", length, 5.2},
		{"1 1/4 in", "mm", length, 31.75},
		{"1-1/4 in", "mm", length, 31.75},
		{"1¼ in", "mm", length, 31.75},
		{`3/16"`, "mm", length, 4.7625},
		{"3/16″", "mm", length, 4.7625},
		{"3/16", "in", length, 4.7625},
		{"½", "in", length, 12.7},
		{".25in", "mm", length, 6.35},
		{`5' 6"`, "mm", length, 1676.4},
		{`5'6`, "mm", length, 1676.4},
		{"1 ft 2.5 in", "mm", length, 368.3},
		{"2 cm", "mm", length, 20},
		{"2 lb 6 oz", "kg", mass, 2.375 * 0.45359237},
		{"2 lbs, 6 oz.", "kg", mass, 2.375 * 0.45359237},
		{"2 lb and 6 oz", "kg", mass, 2.375 * 0.45359237},
		{"6 lb .5 oz", "kg", mass, (6 + 0.5/16) * 0.45359237},
		{"5#", "kg", mass, 5 * 0.45359237},
		{"1,250.5 g", "kg", mass, 1.2505},
		{"1.250,5 g", "kg", mass, 1.2505},
		{"1 gal 2 qt", "L", volume, 3.785411784 * 1.5},
		{"80 cu in", "L", volume, 80 * 0.016387064},
		{"80 in3", "L", volume, 80 * 0.016387064},
		{"1200 cm³", "L", volume, 1.2},
		{"1200 cm3", "L", volume, 1.2},
		{"2 fl oz", "L", volume, 2 * 0.0295735295625},
		{"1 imp gal", "L", volume, 4.54609},
		{"0:22", "min", duration, 22},
		{"1:05", "min", duration, 65},
		{"0:22:30", "min", duration, 22.5},
		{"22:30", "mm:ss", duration, 22.5},
		{"22:30 min", "min", duration, 22.5},
		{"90:00", "mm:ss", duration, 90},
		{"22 min", "h", duration, 22},
		{"1.5 h", "min", duration, 90},
		{"1h30", "min", duration, 90},
		{"1 h 5 min", "min", duration, 65},
		{"90 s", "min", duration, 1.5},
		{"68 °F", "°C", temperature, 20},
		{"68F", "°C", temperature, 20},
		{"-4 F", "°C", temperature, -20},
		{"20 °C", "°F", temperature, 20},
		{"293.15 K", "°C", temperature, 20},
		{"45%", "share", share, 0.45},
		{"45 percent", "share", share, 0.45},
		{"0.45", "share", share, 0.45},
		{"1750 g/L", "g/cm3", gravity, 1.75},
		{"1.75 g/cm³", "g/cm3", gravity, 1.75},
		{"1.5277777777777777E-2", "h", duration, 1.5277777777777777e-2 * 60},
		{"−3", "°C", temperature, -3},
		{"12 casts", "casts", pureNumber, 12},
	} {
		q, err := parseQuantity(c.text, known(t, c.unit, c.dim), markUnknown, c.dim)
		if assertNoError(t, c.text, err) {
			require.InDelta(t, c.want, q.base, 1e-9, c.text)
		}
	}
}

func assertNoError(t testing.TB, what string, err error) bool {
	t.Helper()
	if err != nil {
		t.Errorf("%q: %v", what, err)
	}
	return err == nil
}

func TestWhatIsNoQuantity(t *testing.T) {
	for _, text := range []string{
		"", "x", "mm", "five", "5 6", "5 mm 6", "6 oz 2 lb", "5 mm 3 mm", "5 to 6", "5-6", "5–6 mm", "~5", "5?", "1/0", "1/", "/4", "1.5 1/4",
		"NaN", "Inf", "0x1p-2", "1_000", "1e999", "--5", "5 kg", "1:05", "=1+1", "1 1/4 1/4", "1,2,3", "1.2.3", "1 5/4 in", "٣", "5°",
	} {
		_, err := parseQuantity(text, known(t, "mm", length), markUnknown, length)
		require.Error(t, err, text)
	}
	for _, text := range []string{"1:60", "1:2:60", ":", "1:", ":5", "-1:05", "1:-5", "1:05 kg", "1:2:3:4", "99999:00"} {
		_, err := parseQuantity(text, known(t, "min", duration), markUnknown, duration)
		require.Error(t, err, text)
	}
	_, err := parseQuantity("5 kg", known(t, "mm", length), markUnknown, length)
	require.ErrorIs(t, err, errWrongUnit)
}

func TestThousandsAreReadOnlyWhereTheColumnTells(t *testing.T) {
	for _, c := range []struct {
		text string
		mark decimalMark
		want float64
		err  error
	}{
		{"1,234", markUnknown, 0, errAmbiguous},
		{"1,234", markPoint, 1234, nil},
		{"1,234", markComma, 1.234, nil},
		{"1,234", markBoth, 1.234, nil},
		{"1.234", markUnknown, 1.234, nil},
		{"1.234", markComma, 0, errAmbiguous},
		{"1.234", markBoth, 1.234, nil},
		{"0,125", markUnknown, 0.125, nil},
		{"0.125", markComma, 0.125, nil},
		{"12,5", markPoint, 12.5, nil},
		{"1,234,567", markUnknown, 1234567, nil},
		{"1.234.567", markUnknown, 1234567, nil},
		{"1,234.5", markUnknown, 1234.5, nil},
		{"1.234,5", markUnknown, 1234.5, nil},
		{"1,23.4", markUnknown, 0, errNotNumber},
		{"12,34,5", markUnknown, 0, errNotNumber},
		{",5", markUnknown, 0.5, nil},
	} {
		got, err := decimal(c.text, c.mark)
		require.Equal(t, c.err, err, c.text)
		require.Equal(t, c.want, got, c.text)
	}
}

func TestNamesThatLookLikeNumbers(t *testing.T) {
	for in, want := range map[string]string{
		"7": "7", "7.0": "7", "7.00": "7", "7.10": "7.10", "007": "007", "-7.0": "-7", "M-7": "M-7", "A  1": "A 1", "7.": "7.", ".0": ".0", "1.2.0": "1.2.0",
		"7.0999999999999996": "7.1", "1234567890123456789": "1234567890123456789", "=A1": "=A1", "@home": "@home",
	} {
		require.Equal(t, want, identifier(in), in)
	}
}

func TestTimesOfDay(t *testing.T) {
	for text, want := range map[string]float64{
		"14:30": 870, "2:30 pm": 870, "2:30PM": 870, "2.30 p.m.": 870, "12:00 am": 0, "12:15 pm": 735, "2 pm": 840, "14h30": 870, "14h": 840, "1430": 870, "0930": 570,
		"0.5": 720, "0.604166666666667": 870, "45717.25": 360, "00:00": 0, "24:00": 1440, "14:30:30": 870.5,
	} {
		got, _, err := parseClock(text)
		if assertNoError(t, text, err) {
			require.InDelta(t, want, got, 1e-6, text)
		}
	}
	for _, text := range []string{"25:00", "14:60", "13:00 pm", "0:30 pm", "14", "14.5", "morning", "", ":", "24:30", "14:3", "-0.5", "2:30 am pm", "2460"} {
		_, _, err := parseClock(text)
		require.Error(t, err, text)
	}
}
