package quantity

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNumbersWrittenLoosely(t *testing.T) {
	for _, c := range []struct {
		text        string
		dim         Dimension
		want        float64
		approximate bool
		note        string
	}{
		{"~6", Length, 6, true, ""},
		{"~ 6 mm", Length, 6, true, ""},
		{"≈6", Length, 6, true, ""},
		{"ca. 6", Length, 6, true, ""},
		{"ca 6", Length, 6, true, ""},
		{"c. 6", Length, 6, true, ""},
		{"circa 6 mm", Length, 6, true, ""},
		{"About 6", Length, 6, true, ""},
		{"approx. 1/4 in", Length, 6.35, true, ""},
		{"6 approx.", Length, 6, true, ""},
		{"6?", Length, 6, true, ""},
		{"6 mm ??", Length, 6, true, ""},
		{"(6)", Length, 6, true, "in brackets"},
		{"6*", Length, 6, false, "*"},
		{"~6?", Length, 6, true, ""},
		{"6±0.2", Length, 6, false, "±0.2"},
		{"6 ± 0.2 mm", Length, 6, false, "±0.2 mm"},
		{"6 mm +/- 0.2", Length, 6, false, "±0.2"},
		{"5-6", Length, 5.5, true, "the middle of 5 to 6"},
		{"5–6 mm", Length, 5.5, true, "the middle of 5 to 6 mm"},
		{"5 to 6", Length, 5.5, true, "the middle of 5 to 6"},
		{"1/4 - 1/2 in", Length, 9.525, true, "the middle of 1/4 to 1/2 in"},
		{"20-25 min", Duration, 22.5, true, "the middle of 20 to 25 min"},
		{"0:20–0:25", Duration, 22.5, true, "the middle of 0:20 to 0:25"},
		{"~5-6", Length, 5.5, true, "the middle of 5 to 6"},
		{"18-20 °C", Temperature, 19, true, "the middle of 18 to 20 °C"},
		{"5.2 thin at foot", Length, 5.2, false, "thin at foot"},
		{"5.2 mm thin at foot", Length, 5.2, false, "thin at foot"},
		{"5.2mm, uneven", Length, 5.2, false, "uneven"},
		{"22 (rushed)", Duration, 22, false, "rushed"},
		{"22 min (rushed, 2nd try)", Duration, 22, false, "rushed, 2nd try"},
		{"22 min - rushed", Duration, 22, false, "rushed"},
		{"0:22 rushed", Duration, 22, false, "rushed"},
		{"3.2 (dry)", Mass, 3.2, false, "dry"},
		{"3.2 kg dry", Mass, 3.2, false, "dry"},
		{"～６", Length, 6, true, ""},
	} {
		dims := []Dimension{c.dim}
		q, err := Parse(c.text, Unit{Name: "x", Dim: c.dim, Scale: 1}, MarkUnknown, dims...)
		if assertNoError(t, c.text, err) {
			require.InDelta(t, c.want, q.Base, 1e-9, c.text)
			require.Equal(t, c.approximate, q.Approximate, c.text)
			require.Equal(t, c.note, q.Note, c.text)
		}
	}
}

func TestABoundIsNoValue(t *testing.T) {
	for _, text := range []string{">6", "< 6 mm", "≥6", "over 6", "at least 6", "up to 6", "6+", "max 6"} {
		_, err := Parse(text, known(t, "mm", Length), MarkUnknown, Length)
		require.ErrorIs(t, err, ErrBound, text)
	}
}

// Words that change the number, and units that are not known, are no notes.
func TestWhatIsNoNoteBehindANumber(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
	}{
		{"2 dozen", Length}, {"2 bags", Mass}, {"2 (bags)", Mass}, {"3 scoops water", Mass}, {"2 big bags", Mass}, {"5 half", Length}, {"5 or 6", Length}, {"5 x 6", Length},
		{"5 thin 6", Length}, {"5 kg thin", Length}, {"22 weeks", Duration}, {"5 microns", Length}, {"1-10", Length}, {"6-5", Length}, {"thin 5", Length}, {"5 ()", Length}, {"5 (6)", Length}, {"5 (5 (5 (", Length},
		{"5 per cent", Length}, {"3/4/2025", Length}, {"3-4-2025", Length}, {"5.2, 5.4, 5.1", Length},
	} {
		_, err := Parse(c.text, Unit{Name: "x", Dim: c.dim, Scale: 1}, MarkUnknown, c.dim)
		require.Error(t, err, c.text)
	}
}

func TestSeveralReadingsOfACell(t *testing.T) {
	for text, want := range map[string]string{
		"5; 5.2":             "5|5.2",
		"5.2|5.4":            "5.2|5.4",
		"5.2, 5.4, 5.1":      "5.2|5.4|5.1",
		"5.2,5.4,5.1":        "5.2|5.4|5.1",
		"5,2, 5,4":           "5,2|5,4",
		"5,2 / 5,4":          "5,2|5,4",
		"5.2/5.4":            "5.2|5.4",
		"5.2 5.4 5.1":        "5.2|5.4|5.1",
		"5.2, 5.4, 5.1 mm":   "5.2 mm|5.4 mm|5.1 mm",
		"5.2 mm, 5.4 mm":     "5.2 mm|5.4 mm",
		"5.2\n5.4":           "5.2|5.4",
		"5.2":                "",
		"5,2":                "",
		"1,234":              "",
		"3/16":               "",
		"1 1/4 in":           "",
		"5 ft, 6 in":         "",
		"5.2, uneven":        "",
		"5.2, 2nd pour":      "",
		"5 6":                "",
		"thin, 5.2, uneven":  "",
		"":                   "",
		"5.2 thin at foot":   "",
		"5-6":                "",
		"1.2.3, 4":           "1.2.3|4",
		"2025-03-14, 5 mm 3": "",
	} {
		require.Equal(t, want, strings.Join(Several(text, Length), "|"), text)
	}
}

func TestNumbersAsOtherKeyboardsAndProgramsWriteThem(t *testing.T) {
	for text, want := range map[string]float64{
		"'5.2": 5.2, "\u00a05.2\u00a0": 5.2, "1 200": 1200, "1\u202f200": 1200, "1'200": 1200, "1’200.5": 1200.5, "1 200,5": 1200.5, "1 234 567": 1234567,
		"５．２": 5.2, "１　２００": 1200, "1⅛ in": 28.575, `1' 6 1/2"`: 469.9, "1 ft 6 in": 457.2, "1ft6": 457.2, "1’ 6 1⁄2”": 469.9, `1' 6 1/2''`: 469.9, "+5.2": 5.2,
	} {
		q, err := Parse(text, known(t, "mm", Length), MarkUnknown, Length)
		if assertNoError(t, text, err) {
			require.InDelta(t, want, q.Base, 1e-9, text)
			require.False(t, q.Approximate, text)
			require.Empty(t, q.Note, text)
		}
	}
	for text, want := range map[string]float64{
		"22'": 22, `22' 30"`: 22.5, "22'30": 22.5, "1h30": 90, "1 h 30 min": 90, "1h 30m": 90, "22 min 30 s": 22.5, "22m30s": 22.5, "1:30 h": 90, "90 sec.": 1.5, "1,5 h": 90,
	} {
		q, err := Parse(text, known(t, "min", Duration), MarkUnknown, Duration)
		if assertNoError(t, text, err) {
			require.InDelta(t, want, q.Base, 1e-9, text)
		}
	}
	q, err := Parse("2 lb 6", known(t, "kg", Mass), MarkUnknown, Mass)
	require.NoError(t, err)
	require.InDelta(t, 2.375*0.45359237, q.Base, 1e-12)
}

// A text cannot make reading slow: the work grows at most with the square of a
// length that is bounded.
func TestLongTextsAreRefused(t *testing.T) {
	for _, text := range []string{strings.Repeat("5 ", 200), strings.Repeat("(", 300), strings.Repeat("9", 300), "5 " + strings.Repeat("x ", 200), strings.Repeat("1 1/4 ", 60)} {
		_, err := Parse(text, known(t, "mm", Length), MarkUnknown, Length)
		require.Error(t, err)
		require.Nil(t, Several(text, Length))
	}
}

// Long texts of the kind that are tried in many ways.
func BenchmarkWorstText(b *testing.B) {
	texts := []string{strings.Repeat("5 (", 80), strings.Repeat("5, ", 80), "~" + strings.Repeat("1-1/4 ", 40), strings.Repeat("5.2,x ", 40)}
	for b.Loop() {
		for _, s := range texts {
			_, err := Parse(s, Unit{Dim: Length, Scale: 1}, MarkUnknown, Length)
			if err == nil {
				b.Fatal(s)
			}
		}
	}
}
