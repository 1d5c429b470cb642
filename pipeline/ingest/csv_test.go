package ingest

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

const plainLog = "Date,Mold,Dwell (min),Wall (mm),Note\n2025-03-01,Käfer,20,5,früh\n2025-03-02,Käfer,21,5.1,spät\n"

func encoded(t *testing.T, text string, name string) string {
	t.Helper()
	var out []byte
	var err error
	switch name {
	case "utf-8 with mark":
		return "\ufeff" + text
	case "windows-1252":
		out, err = charmap.Windows1252.NewEncoder().Bytes([]byte(text))
	case "utf-16 little":
		out, err = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes([]byte(text))
	case "utf-16 big":
		out, err = unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewEncoder().Bytes([]byte(text))
	case "utf-16 without mark":
		out, err = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewEncoder().Bytes([]byte(text))
	default:
		return text
	}
	require.NoError(t, err)
	return string(out)
}

func TestEncodings(t *testing.T) {
	for name, note := range map[string]string{
		"utf-8": "", "utf-8 with mark": "", "windows-1252": "Windows-1252", "utf-16 little": "", "utf-16 big": "", "utf-16 without mark": "UTF-16",
	} {
		res := readText(t, "a.csv", encoded(t, plainLog, name))
		got := casts(res)
		require.Len(t, got, 2, name)
		require.Equal(t, "Käfer", got[0].Mold, name)
		require.Equal(t, "spät", got[1].Note, name)
		if note == "" {
			require.Empty(t, res.Problems, name)
		} else {
			require.Contains(t, find(t, res, CodeEncodingInferred).Message, note, name)
		}
	}
}

func TestSeparatorsAndLineEnds(t *testing.T) {
	for name, text := range map[string]string{
		"commas":       plainLog,
		"semicolons":   strings.ReplaceAll(plainLog, ",", ";"),
		"tabs":         strings.ReplaceAll(plainLog, ",", "\t"),
		"bars":         strings.ReplaceAll(plainLog, ",", "|"),
		"stated":       "sep=;\n" + strings.ReplaceAll(plainLog, ",", ";"),
		"title":        "Log of 2025, kept by hand, with many, many, many commas\n" + strings.ReplaceAll(plainLog, ",", ";"),
		"dos":          strings.ReplaceAll(plainLog, "\n", "\r\n"),
		"old mac":      strings.ReplaceAll(plainLog, "\n", "\r"),
		"no last line": strings.TrimRight(plainLog, "\n"),
	} {
		res := readText(t, "a.csv", text)
		require.Len(t, casts(res), 2, name)
		require.Equal(t, 5.1, casts(res)[1].WallMM(), name)
	}
	require.Len(t, casts(readText(t, "a.tsv", strings.ReplaceAll(plainLog, ",", "\t"))), 2)
}

func TestSemicolonsAndDecimalCommas(t *testing.T) {
	res := readText(t, "a.csv", "Datum;Date;Mold;Dwell (min);Wall (mm);Mold mass (kg)\nx;1.3.2025;A;20,5;5,125;3,456\nx;2.3.2025;A;21;5,2;3,5\n")
	got := casts(res)
	require.Len(t, got, 2)
	require.Equal(t, []float64{20.5, 5.125, 3.456}, []float64{got[0].DwellMin, got[0].WallMM(), got[0].MoldMassKg})
	require.Equal(t, tables.MakeDate(2025, 3, 1), got[0].Date)

	res = readText(t, "a.csv", "Date;Mold;Dwell (min);Wall (mm)\n2025-03-01;A;20,5;5,2\n2025-03-01;A;1.234;5,2\n")
	require.Equal(t, "C3", find(t, res, CodeAmbiguousNumber).Cell, "1.234 beside 20,5 may be a thousand")
}

func TestRowNumbersAreThoseOfASpreadsheet(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwell (min),Wall (mm),Note\n\n2025-03-01,A,20,5,\"two\nlines\"\n\n2025-03-02,A,x,5,\n")
	require.Equal(t, int32(3), res.Studio.Casts.Origin(0).Row)
	require.Equal(t, "two\nlines", casts(res)[0].Note)
	require.Equal(t, "C5", find(t, res, CodeUnreadable).Cell)
}

func TestInchMarksAndUnclosedQuotes(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwell (min),Wall,Note\n2025-03-01,A,20,3/16\",\n2025-03-02,A,20,\"3/16\"\"\",x\n")
	require.Len(t, casts(res), 2)
	require.InDelta(t, 4.7625, casts(res)[0].WallMM(), 1e-9)
	require.InDelta(t, 4.7625, casts(res)[1].WallMM(), 1e-9)
	require.Empty(t, res.Problems)

	res = readText(t, "a.csv", "Date,Mold,Dwell (min),Wall (mm),Note\n2025-03-01,A,20,5,\"never closed\n2025-03-02,B,21,5,\n2025-03-03,C,22,5,ok\n")
	require.Equal(t, 3, res.Studio.Casts.Len(), "a quotation mark swallows no rows")
	require.Equal(t, "2", find(t, res, CodeUnclosedQuote).Cell)
	require.Equal(t, int32(4), res.Studio.Casts.Origin(2).Row)
}

func TestTextThatLooksLikeAFormulaStaysText(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwell (min),Wall (mm),Note\n2025-03-01,=A1,20,5,+1 for luck\n2025-03-02,-3,20,5,@home\n")
	require.Equal(t, []string{"=A1", "-3"}, res.Studio.Casts.Texts("mold"))
	require.Equal(t, []string{"+1 for luck", "@home"}, res.Studio.Casts.Texts("note"))
}

func TestFilesThatAreNoText(t *testing.T) {
	for name, content := range map[string]string{
		"zip.csv": "PK\x03\x04rest", "nul.csv": "a,b\x00\x00\x00c\n\x00\x01\x02", "ole.csv": "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "x", "empty.csv": "",
	} {
		res := readText(t, name, content)
		require.NotEmpty(t, res.Reading.Files[0].Unreadable, name)
		require.Equal(t, []string{CodeUnreadableFile}, codes(res.Problems), name)
	}
}

func TestWideAndLongSheets(t *testing.T) {
	wide := "Date,Mold,Dwell (min),Wall (mm)" + strings.Repeat(",", 16500) + "x\n2025-03-01,A,20,5" + strings.Repeat(",", 16500) + "y\n"
	res := readText(t, "a.csv", wide)
	require.Len(t, casts(res), 1)
	require.Contains(t, find(t, res, CodeTooManyColumns).Message, "2 rows have content to the right of column XFD")

	long := "Date,Mold,Dwell (min),Wall (mm),Note\n2025-03-01,A,20,5," + strings.Repeat("ä", grid.MaxCellText+1) + "\n2025-03-02,A,20,5," + strings.Repeat("ä", grid.MaxCellText) + "\n"
	res = readText(t, "a.csv", long)
	p := find(t, res, CodeCellTooLong)
	require.Equal(t, []string{"E2", tables.ValueIgnored}, []string{p.Cell, p.Severity})
	require.Less(t, len(p.Value), 1000)
	require.Len(t, casts(res), 2)

	var b bytes.Buffer
	b.WriteString("Date,Mold,Dwell (min),Wall (mm)\n2025-03-01,A,20,5\n")
	b.WriteString(strings.Repeat("\n", grid.MaxRows))
	b.WriteString("2025-03-02,A,20,5\n")
	res = readText(t, "a.csv", b.String())
	_, used, aside, _ := res.Reading.Rows()
	require.Equal(t, []int{2, 0}, []int{used, aside}, "a text file may have more rows than a spreadsheet")
	require.EqualValues(t, grid.MaxRows+3, res.Studio.Casts.Origin(1).Row)
}

func TestTenThousandColumns(t *testing.T) {
	pad := strings.Repeat(",", 9_996)
	res := readText(t, "a.csv", pad+"Date,Mold,Dwell (min),Wall (mm)\n"+pad+"2025-03-01,A,20,5\n"+pad+"2025-03-02,A,25,5.6\n")
	require.Len(t, casts(res), 2)
	require.Empty(t, res.Problems)
}

func TestColumnNamesOfSpreadsheets(t *testing.T) {
	for at, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 701: "ZZ", 702: "AAA", 1999: "BXX"} {
		require.Equal(t, want, grid.Letters(at))
	}
}
