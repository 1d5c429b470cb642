package quantity

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func known(t testing.TB, name string, dim Dimension) Unit {
	t.Helper()
	u, ok := LookUnit(name, dim)
	require.True(t, ok, name)
	return u
}

func TestQuantities(t *testing.T) {
	for _, c := range []struct {
		text string
		unit string
		dim  Dimension
		want float64
	}{
		{"5.2", "mm", Length, 5.2},
		{"5,2", "mm", Length, 5.2},
		{"5.2 mm", "in", Length, 5.2},
		{"1 1/4 in", "mm", Length, 31.75},
		{"1-1/4 in", "mm", Length, 31.75},
		{"1¼ in", "mm", Length, 31.75},
		{`3/16"`, "mm", Length, 4.7625},
		{"3/16″", "mm", Length, 4.7625},
		{"3/16", "in", Length, 4.7625},
		{"½", "in", Length, 12.7},
		{".25in", "mm", Length, 6.35},
		{`5' 6"`, "mm", Length, 1676.4},
		{`5'6`, "mm", Length, 1676.4},
		{"1 ft 2.5 in", "mm", Length, 368.3},
		{"2 cm", "mm", Length, 20},
		{"2 lb 6 oz", "kg", Mass, 2.375 * 0.45359237},
		{"2 lbs, 6 oz.", "kg", Mass, 2.375 * 0.45359237},
		{"2 lb and 6 oz", "kg", Mass, 2.375 * 0.45359237},
		{"6 lb .5 oz", "kg", Mass, (6 + 0.5/16) * 0.45359237},
		{"5#", "kg", Mass, 5 * 0.45359237},
		{"1,250.5 g", "kg", Mass, 1.2505},
		{"1.250,5 g", "kg", Mass, 1.2505},
		{"1 gal 2 qt", "L", Volume, 3.785411784 * 1.5},
		{"80 cu in", "L", Volume, 80 * 0.016387064},
		{"80 in3", "L", Volume, 80 * 0.016387064},
		{"1200 cm³", "L", Volume, 1.2},
		{"1200 cm3", "L", Volume, 1.2},
		{"2 fl oz", "L", Volume, 2 * 0.0295735295625},
		{"1 imp gal", "L", Volume, 4.54609},
		{"0:22", "min", Duration, 22},
		{"1:05", "min", Duration, 65},
		{"0:22:30", "min", Duration, 22.5},
		{"22:30", "mm:ss", Duration, 22.5},
		{"22:30 min", "min", Duration, 22.5},
		{"90:00", "mm:ss", Duration, 90},
		{"22 min", "h", Duration, 22},
		{"1.5 h", "min", Duration, 90},
		{"1h30", "min", Duration, 90},
		{"1 h 5 min", "min", Duration, 65},
		{"90 s", "min", Duration, 1.5},
		{"68 °F", "°C", Temperature, 20},
		{"68F", "°C", Temperature, 20},
		{"-4 F", "°C", Temperature, -20},
		{"20 °C", "°F", Temperature, 20},
		{"293.15 K", "°C", Temperature, 20},
		{"45%", "share", Share, 0.45},
		{"45 percent", "share", Share, 0.45},
		{"0.45", "share", Share, 0.45},
		{"1750 g/L", "g/cm3", Gravity, 1.75},
		{"1.75 g/cm³", "g/cm3", Gravity, 1.75},
		{"1.5277777777777777E-2", "h", Duration, 1.5277777777777777e-2 * 60},
		{"−3", "°C", Temperature, -3},
		{"12 casts", "casts", PureNumber, 12},
	} {
		q, err := Parse(c.text, known(t, c.unit, c.dim), MarkUnknown, c.dim)
		if assertNoError(t, c.text, err) {
			require.InDelta(t, c.want, q.Base, 1e-9, c.text)
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
		"", "x", "mm", "five", "5 6", "5 mm 6", "6 oz 2 lb", "5 mm 3 mm", "1/0", "1/", "/4", "1.5 1/4",
		"NaN", "Inf", "0x1p-2", "1_000", "1e999", "--5", "5 kg", "1:05", "=1+1", "1 1/4 1/4", "1,2,3", "1.2.3", "1 5/4 in", "٣", "5°",
	} {
		_, err := Parse(text, known(t, "mm", Length), MarkUnknown, Length)
		require.Error(t, err, text)
	}
	for _, text := range []string{"1:60", "1:2:60", ":", "1:", ":5", "-1:05", "1:-5", "1:05 kg", "1:2:3:4", "99999:00"} {
		_, err := Parse(text, known(t, "min", Duration), MarkUnknown, Duration)
		require.Error(t, err, text)
	}
	_, err := Parse("5 kg", known(t, "mm", Length), MarkUnknown, Length)
	require.ErrorIs(t, err, ErrWrongUnit)
}

func TestThousandsAreReadOnlyWhereTheColumnTells(t *testing.T) {
	for _, c := range []struct {
		text string
		mark Mark
		want float64
		err  error
	}{
		{"1,234", MarkUnknown, 0, ErrAmbiguous},
		{"1,234", MarkPoint, 1234, nil},
		{"1,234", MarkComma, 1.234, nil},
		{"1,234", MarkBoth, 1.234, nil},
		{"1.234", MarkUnknown, 1.234, nil},
		{"1.234", MarkComma, 0, ErrAmbiguous},
		{"1.234", MarkBoth, 1.234, nil},
		{"0,125", MarkUnknown, 0.125, nil},
		{"0.125", MarkComma, 0.125, nil},
		{"12,5", MarkPoint, 12.5, nil},
		{"1,234,567", MarkUnknown, 1234567, nil},
		{"1.234.567", MarkUnknown, 1234567, nil},
		{"1,234.5", MarkUnknown, 1234.5, nil},
		{"1.234,5", MarkUnknown, 1234.5, nil},
		{"1,23.4", MarkUnknown, 0, ErrUnreadable},
		{"12,34,5", MarkUnknown, 0, ErrUnreadable},
		{",5", MarkUnknown, 0.5, nil},
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
		require.Equal(t, want, Identifier(in), in)
	}
}

func TestTimesOfDay(t *testing.T) {
	for text, want := range map[string]float64{
		"14:30": 870, "2:30 pm": 870, "2:30PM": 870, "2.30 p.m.": 870, "12:00 am": 0, "12:15 pm": 735, "2 pm": 840, "14h30": 870, "14h": 840, "1430": 870, "0930": 570,
		"0.5": 720, "0.604166666666667": 870, "45717.25": 360, "00:00": 0, "24:00": 1440, "14:30:30": 870.5, "14:30 Uhr": 870, "14.30 Uhr": 870, "9 Uhr": 540, "noon": 720, "ca. 14:30": 870, "9:30a": 570,
	} {
		got, _, err := ParseClock(text)
		if assertNoError(t, text, err) {
			require.InDelta(t, want, got, 1e-6, text)
		}
	}
	for _, text := range []string{"25:00", "14:60", "13:00 pm", "0:30 pm", "14", "14.5", "morning", "", ":", "24:30", "14:3", "-0.5", "2:30 am pm", "2460"} {
		_, _, err := ParseClock(text)
		require.Error(t, err, text)
	}
}
