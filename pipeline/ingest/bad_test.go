package ingest

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// nothing is the error of a reading that must have given nothing.
func nothing(t *testing.T, res Result) *NothingUsableError {
	t.Helper()
	require.False(t, res.Reading.Usable())
	err := res.Reading.NothingUsable()
	require.ErrorIs(t, err, ErrNothingUsable)
	var n *NothingUsableError
	require.True(t, errors.As(err, &n))
	require.NotEmpty(t, n.Mend)
	return n
}

func TestNothingUsableSaysWhy(t *testing.T) {
	res := readAll(t, Options{}, folder(t, map[string]string{"notes.txt": "x", "~$a.xlsx": "x"}))
	require.Contains(t, nothing(t, res).Message, "No spreadsheet was found")

	res = readText(t, "a.csv", "name,phone\nAnn,1\n")
	require.Contains(t, nothing(t, res).Message, "No sheet was recognised as a log (logs/a.csv: no row names the columns")

	res = readText(t, "a.csv", "date,mold,dwell,wall\n")
	require.Contains(t, nothing(t, res).Message, "headers but no rows")

	res = readText(t, "a.csv", "date,mold,dwell,wall\nx,A,20 min,5 mm\n2025-03-01,A,x,5 mm\n")
	require.Contains(t, nothing(t, res).Message, "all 2 rows of data were set aside")
	require.Equal(t, 1, res.Studio.Casts.Len(), "its mold and date are known, so it counts as a cast")

	res = readText(t, "a.xlsx", "not a workbook")
	require.Contains(t, nothing(t, res).Message, "None of the files could be read (1 in all; logs/a.xlsx: this is not a workbook")

	res = readText(t, "a.csv", "\n\n")
	require.Contains(t, nothing(t, res).Message, "hold no rows")

	res = readText(t, "a.csv", "date,mold,dwell,wall\n2025-03-01,A,20 min,5 mm\n")
	require.NoError(t, res.Reading.NothingUsable())
	require.True(t, res.Reading.Usable())
}

func TestUnreadableWorkbooksAreToldAndTheRestIsRead(t *testing.T) {
	rows := [][]any{castHeader, {day1(), "A", 20, 5}}
	good, err := os.ReadFile(workbook(t, rows, nil))
	require.NoError(t, err)
	locked, err := os.ReadFile(workbook(t, rows, nil, excelize.Options{Password: "secret"}))
	require.NoError(t, err)
	dir := folder(t, map[string]string{
		"good.xlsx":    string(good),
		"locked.xlsx":  string(locked),
		"cut.xlsx":     string(good[:len(good)/2]),
		"tail.xlsx":    string(good[:len(good)-10]),
		"zero.xlsx":    "",
		"one.xlsx":     "P",
		"old.xlsx":     "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + strings.Repeat("\x00", 2000),
		"text.xlsx":    "date,mold\n",
		"zipped.xlsx":  string(zipWith(t, "letter.txt", "dear reader")),
		"workbook.csv": string(good),
	})
	res := readAll(t, Options{}, dir)
	require.Equal(t, 1, res.Studio.Casts.Len())
	why := map[string]string{}
	for _, f := range res.Reading.Files {
		why[strings.TrimPrefix(f.Name, "logs/")] = f.Unreadable
	}
	require.Empty(t, why["good.xlsx"])
	for name, part := range map[string]string{
		"locked.xlsx": "protected with a password", "cut.xlsx": "damaged or was cut short", "tail.xlsx": "damaged or was cut short", "zero.xlsx": "0 bytes",
		"one.xlsx": "not a workbook", "old.xlsx": "old .xls form", "text.xlsx": "not a workbook", "zipped.xlsx": "",
	} {
		require.NotEmpty(t, why[name], name)
		require.Contains(t, why[name], part, name)
	}
	require.Contains(t, find(t, res, CodeDuplicateFile).Message, "logs/good.xlsx", "the same bytes under another name")
	for _, p := range res.Problems {
		require.NotEmpty(t, p.Mend)
		require.NotContains(t, p.Message, "\n")
	}
}

func zipWith(t *testing.T, name, content string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	f, err := w.Create(name)
	require.NoError(t, err)
	_, err = f.Write([]byte(content))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.Bytes()
}

func TestMixedUnitsOnOneSheet(t *testing.T) {
	res := readText(t, "a.csv", strings.Join([]string{
		"Date,Mould,Soak,Thickness,Mould weight,Temperature,RH,Demould (h)",
		`2025-03-01,A,22 min,5 mm,3.2 kg,20 °C,45 %,1.5`,
		`2025-03-02,A,0:22,"3/16""",7 lb 1 oz,68F,0.45,2`,
		`2025-03-03,A,1.5 h,0.2 in,3200 g,20,45%,2 d`,
	}, "\n"))
	got := casts(res)
	require.Len(t, got, 3)
	for i, want := range []tables.Cast{
		{DwellMin: 22, MoldMassKg: 3.2, RoomC: 20, RoomHumidity: 0.45, DemoldMin: 90},
		{DwellMin: 22, MoldMassKg: 7.0625 * 0.45359237, RoomC: 20, RoomHumidity: 0.45, DemoldMin: 120},
		{DwellMin: 90, MoldMassKg: 3.2, RoomC: 20, RoomHumidity: 0.45, DemoldMin: 2880},
	} {
		require.InDelta(t, want.DwellMin, got[i].DwellMin, 1e-9)
		require.InDelta(t, want.MoldMassKg, got[i].MoldMassKg, 1e-9)
		require.InDelta(t, want.RoomC, got[i].RoomC, 1e-9)
		require.InDelta(t, want.RoomHumidity, got[i].RoomHumidity, 1e-9)
		require.InDelta(t, want.DemoldMin, got[i].DemoldMin, 1e-9)
	}
	require.InDelta(t, 4.7625, got[1].WallMM(), 1e-9)
	require.InDelta(t, 5.08, got[2].WallMM(), 1e-9)
	require.Equal(t, []string{CodeUnitAssumed}, codes(res.Problems))
	require.Equal(t, "Temperature in °C", res.Problems[0].Value)
}

func TestImplausibleValuesAreNotUsed(t *testing.T) {
	res := readText(t, "a.csv", strings.Join([]string{
		"Date,Mold,Dwell (min),Wall,Temp,Result",
		"2025-03-01,A,20,0.2,68,good",    // inches and °F without saying so
		"2025-03-02,A,2000,5,20,good",    // too long
		"2025-03-03,A,20,45914,20,good",  // 3/16 turned into a date
		"1905-03-03,A,20,5,20,good",      // no day of any log
		"2025-03-05,A,-20,5,20,gorgeous", // negative
		"2025-03-05,A,20,NaN,20,",
	}, "\n"))
	type row struct{ cell, code, severity string }
	var got []row
	for _, p := range res.Problems {
		if p.Code != CodeUnitAssumed {
			got = append(got, row{p.Cell, p.Code, p.Severity})
		}
	}
	require.Equal(t, []row{
		{"D2", CodeUnitDoubted, tables.SetAside}, {"E2", CodeUnitDoubted, tables.ValueIgnored},
		{"C3", CodeUnitDoubted, tables.SetAside}, {"D4", CodeOutOfRange, tables.SetAside}, {"A5", CodeOutOfRange, tables.SetAside},
		{"C6", CodeOutOfRange, tables.SetAside}, {"F6", CodeUnknownWord, tables.ValueIgnored}, {"D7", CodeUnreadable, tables.SetAside},
	}, got)
	mends := map[string]string{}
	for _, p := range res.Problems {
		mends[p.Cell] = p.Mend
	}
	require.Contains(t, mends["D2"], "if inches are meant")
	require.Contains(t, mends["E2"], "degrees Fahrenheit")
	require.Contains(t, mends["D4"], "3/16")
	require.Equal(t, 5, res.Studio.Casts.Len(), "all but the one without a date")
}

func TestAmbiguousDatesAreAskedAbout(t *testing.T) {
	const log = "Date,Mold,Dwell (min),Wall (mm)\n3/4/2025,A,20,5\n5/4/2025,A,20,5\n6/6/2025,A,20,5\n"
	res := readText(t, "a.csv", log)
	require.Equal(t, []string{CodeAmbiguousDate, CodeAmbiguousDate, CodeDateOrderUnknown}, codes(res.Problems))
	require.Equal(t, 1, res.Studio.Casts.Len())

	dir := folder(t, map[string]string{"a.csv": log})
	res = readAll(t, Options{DateOrder: MonthFirst}, dir)
	require.Equal(t, tables.MakeDate(2025, 3, 4), casts(res)[0].Date)
	require.Equal(t, []string{CodeDateOrder}, codes(res.Problems))

	res = readText(t, "a.csv", log+"25/4/2025,A,20,5\n")
	require.Equal(t, tables.MakeDate(2025, 4, 3), casts(res)[0].Date)
	require.Equal(t, []string{CodeDateOrder}, codes(res.Problems))

	res = readText(t, "a.csv", log+"25/4/2025,A,20,5\n4/25/2025,A,20,5\n")
	require.Equal(t, []string{CodeAmbiguousDate, CodeAmbiguousDate, CodeDateOrderMixed}, codes(res.Problems))
	require.Equal(t, 3, res.Studio.Casts.Len())

	res = readText(t, "a.csv", strings.Replace(log, "Date", "Date (dd/mm/yyyy)", 1))
	require.Equal(t, tables.MakeDate(2025, 4, 3), casts(res)[0].Date)
	require.Empty(t, res.Problems)

	path := workbook(t, [][]any{castHeader, {"3/4/2025", "A", 20, 5}}, func(f *excelize.File) {
		_, err := f.NewSheet("Molds")
		require.NoError(t, err)
		require.NoError(t, f.SetSheetRow("Molds", "A1", &[]any{"Mold", "Form", "In service"}))
		require.NoError(t, f.SetSheetRow("Molds", "A2", &[]any{"A", "cup", "25/1/2025"}))
	})
	res = readAll(t, Options{}, path)
	require.Equal(t, tables.MakeDate(2025, 4, 3), casts(res)[0].Date)
	require.Equal(t, []string{CodeDateOrderBorrowed}, codes(res.Problems))
}

func TestReadingIsCancelledPromptly(t *testing.T) {
	dir := folder(t, map[string]string{"a.csv": "date,mold,dwell,wall\n" + strings.Repeat("2025-03-01,A,20 min,5 mm\n", 5000)})
	sources, err := Find([]string{dir})
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Read(ctx, sources, Options{})
	require.ErrorIs(t, err, context.Canceled)

	ctx, cancel = context.WithCancel(context.Background())
	_, err = Read(ctx, sources, Options{Progress: func(string) { cancel() }})
	require.ErrorIs(t, err, context.Canceled)
}
