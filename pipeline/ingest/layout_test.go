package ingest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// cellOf is where a value of a cast of the result stood.
func cellOf(res Result, i int, column string) string {
	_, _, cell := res.Studio.Blocks.Place(res.Studio.Casts.Origin(i), column)
	return cell
}

func TestAHeaderInTwoLinesIsJoined(t *testing.T) {
	res := readText(t, "a.csv", "Mold,Date of,Dwell,Wall,Wall\n,casting,[min],rim (mm),foot (mm)\nA,2025-03-01,20,5,6\n")
	require.Empty(t, res.Problems)
	require.Equal(t, []float64{5, 6}, casts(res)[0].WallsMM)

	res = readText(t, "a.csv", "Log of casts,,,\nMold,Date,Dwell (min),Wall (mm)\nA,2025-03-01,20,5\n")
	require.Equal(t, 2, res.Reading.Files[0].Sheets[0].HeaderRow, "a title is no upper line")

	res = readText(t, "a.csv", "Mold,Form,Kind\nA,cup,split\n")
	require.Equal(t, 1, res.Studio.Molds.Len(), "a first row of words is data")
}

func TestTablesSideBySide(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwell (min),Wall (mm),Mold,Form\n2025-03-01,A,20,5,A,cup\n2025-03-02,A,21,5.1,B,bowl\n")
	require.Equal(t, 2, res.Studio.Casts.Len())
	require.Equal(t, 2, res.Studio.Molds.Len())
	require.Equal(t, []int{5, 4}, []int{res.Reading.Files[0].Sheets[0].RowsRead, res.Reading.Files[0].Sheets[0].RowsUsed})

	res = readText(t, "a.csv", "Date,Mold,Dwell (min),Wall (mm),,Slip,SG\n2025-03-01,A,20,5,,S1,1.75\n2025-03-02,A,21,5.1,,S1,1.75\n2025-03-03,A,21,5.1,,S1,1.75\n")
	require.Zero(t, res.Studio.Slips.Len(), "what each cast says of its slip is no list of slips")
	require.Equal(t, "S1", casts(res)[0].Slip)

	res = readText(t, "a.csv", "Date,Mold,Dwell (min),Wall (mm),,,\n2025-03-01,A,20,5,,,\n2025-03-02,A,21,5.1,,Slip,SG\n2025-03-03,A,21,5.1,,S1,1.75\n")
	require.Equal(t, 3, res.Studio.Casts.Len())
	require.Equal(t, 1, res.Studio.Slips.Len(), "a table beside that begins further down")
}

func TestWideLayoutsAreReadAsRows(t *testing.T) {
	for name, text := range map[string]string{
		"numbered": "Mold,Date 1,Dwell 1 (min),Wall 1 (mm),Date 2,Dwell 2 (min),Wall 2 (mm)\nA,2025-03-01,20,5,2025-03-02,21,5.1\nB,2025-03-01,22,5.2,,,\n",
		"named":    "Mold,Cast 1 Date,Cast 1 Dwell (min),Cast 1 Wall (mm),Cast 2 Date,Cast 2 Dwell (min),Cast 2 Wall (mm)\nA,2025-03-01,20,5,2025-03-02,21,5.1\nB,2025-03-01,22,5.2,,,\n",
		"repeated": "Mold,Date,Dwell (min),Wall (mm),Date,Dwell (min),Wall (mm)\nA,2025-03-01,20,5,2025-03-02,21,5.1\nB,2025-03-01,22,5.2,,,\n",
	} {
		res := readText(t, "a.csv", text)
		require.Equal(t, 3, res.Studio.Casts.Len(), name)
		require.Equal(t, []string{CodeWideLayout}, codes(res.Problems), name)
		require.Equal(t, "casts", res.Reading.Files[0].Sheets[0].Table)
		got := casts(res)
		require.Equal(t, []float64{5.1}, got[2].WallsMM, name)
		require.Equal(t, "G2", cellOf(res, 2, "wall"), name)
		require.Equal(t, "A2", cellOf(res, 2, "mold"), name)
		require.Equal(t, 21.0, got[2].DwellMin, name)
	}
	res := readText(t, "a.csv", "Date,Mold,Dwell (min),Wall 1 (mm),Wall 2 (mm)\n2025-03-01,A,20,5,6\n")
	require.Equal(t, []float64{5, 6}, casts(res)[0].WallsMM, "readings of one wall are no casts")
}

func TestOneColumnPerMoldNeedsMolds(t *testing.T) {
	res := readText(t, "a.csv", "Date,Dwell (min),M1,M2\n2025-03-01,20,5,5.2\n2025-03-02,21,,5.1\n")
	require.Equal(t, 3, res.Studio.Casts.Len())
	require.Equal(t, []string{"M1", "M2", "M2"}, []string{casts(res)[0].Mold, casts(res)[1].Mold, casts(res)[2].Mold})
	require.Equal(t, "D3", cellOf(res, 2, "wall"))

	for _, header := range []string{"Cone 04,Cone 06", "M1,T2", "red,blue"} {
		res = readText(t, "a.csv", "Date,Dwell (min),"+header+"\n2025-03-01,20,5,5.2\n")
		require.Zero(t, res.Studio.Casts.Len(), header)
	}
	f := recognise(grid.Of(true, strings.Split("Date,Dwell (min),red,blue", ","), strings.Split("2025-03-01,20,5,5.2", ",")), hints{molds: map[string]bool{"red": true, "blue": true}})
	require.Len(t, f.blocks, 2, "molds that are listed may be called anything")
}

func TestATableOnItsSide(t *testing.T) {
	res := readText(t, "a.csv", "Mold: A,,\nDate,2025-03-01,2025-03-02\nDwell (min),20,21\nWall (mm),5,x\nResult,good,second\n")
	s := res.Reading.Files[0].Sheets[0]
	require.Equal(t, "casts", s.Table)
	require.Equal(t, s.RowsRead, s.RowsUsed+s.RowsAside+s.RowsNoData)
	require.Equal(t, []int{1, 1}, []int{s.RowsUsed, s.RowsAside})
	require.Equal(t, "C4", find(t, res, CodeUnreadable).Cell)
	require.Equal(t, "A", casts(res)[1].Mold)
	require.Equal(t, "C3", cellOf(res, 1, "dwell"))

	res = readText(t, "a.csv", "Words of the studio,\nDate,x\nglaze,y\nkiln,z\nshelf,z\nMold,a\nclay,b\nDwell,c\ncone,w\nbat,w\nWall,d\n")
	require.Empty(t, res.Reading.Files[0].Sheets[0].Table, "a list of words is no table")
}

func TestRowsOfTotalsAreNoData(t *testing.T) {
	res := readText(t, "a.csv", strings.Join([]string{
		"Date,Mold,Dwell (min),Wall (mm)", "2025-03-01,A,20,5", "2025-03-02,A,22,6", "Total,,42,11", "2025-03-03,A,30,5", "2025-03-04,Mean,31,5", ",,61,10", ",,25,7",
	}, "\n"))
	s := res.Reading.Files[0].Sheets[0]
	require.Equal(t, []int{8, 4, 1, 3}, []int{s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData}, "a mold may be called Mean, and a row that is no sum lacks its name")
	find(t, res, CodeTotalRow)
	require.Equal(t, 4, res.Studio.Casts.Len())
}

func TestDittoMarks(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwell (min),Wall\n2025-03-01,A,20,\"3/16\"\"\"\n\"\"\"\",〃,do.,\"1/4\"\"\"\n")
	got := casts(res)
	require.Len(t, got, 2)
	require.Equal(t, got[0].Date, got[1].Date)
	require.Equal(t, "A", got[1].Mold)
	require.Equal(t, 20.0, got[1].DwellMin)
	require.InDelta(t, 6.35, got[1].WallsMM[0], 1e-9, "a mark behind a number is inches")
}

func TestMoldAndMonthFromNamesAndTitles(t *testing.T) {
	for name, want := range map[string]bool{
		"M-07": true, "m7": true, "Mold 12": true, "Mould 3": true, "Mold A": true, "B2": true,
		"Sheet1": false, "Casts": false, "2025": false, "March 2025": false, "Mar 25": false, "Q1": false, "Log 3": false, "Mold log": false, "": false, "M-": false,
	} {
		require.Equal(t, want, looksLikeMold(name), name)
	}
	for text, want := range map[string]month{
		"March 2025": {2025, time.March, ""}, "Mar 25": {2025, time.March, ""}, "2025-03": {2025, time.March, ""}, "03/2025": {2025, time.March, ""},
		"2025": {2025, 0, ""}, "Sept": {0, time.September, ""}, "Casts March 2025": {}, "03-04": {}, "Maria": {}, "": {},
	} {
		require.Equal(t, want, monthOf(text), text)
	}
	march := month{2025, time.March, ""}
	for text, want := range map[string]string{
		"4": "2025-03-04", "4th": "2025-03-04", "Tue 4": "2025-03-04", "4.3.": "2025-03-04", "3/4": "2025-03-04", "4 Feb": "2025-02-04",
		"45730": "45730", "2025-01-02": "2025-01-02", "32": "32", "x": "x", "4/5": "4/5",
	} {
		whole, _ := march.complete(text)
		require.Equal(t, want, whole, text)
	}
	res := readText(t, "a.csv", "March 2025,,\nMold no. M-07,,\nDay,Dwell (min),Wall (mm)\n4,20,5\n31,21,5\n32,21,5\n")
	require.Equal(t, []string{"M-07", "M-07"}, []string{casts(res)[0].Mold, casts(res)[1].Mold})
	require.Equal(t, tables.MakeDate(2025, 3, 31), casts(res)[1].Date)
	require.Len(t, casts(res), 2)
}

func TestMisspeltAndShortHeaders(t *testing.T) {
	for header, want := range map[string]string{
		"Datte": "date", "Mold nubmer": "mold", "Dwel (min)": "dwell", "Wal (mm)": "wall", "Reslut": "result", "Dt": "date", "Humidty": "room_humidity",
		"Call": "", "Gold": "", "Glaze": "", "Tall": "", "W": "", "Kiln": "", "Cone": "",
	} {
		v := vocabularyOf(t, "casts")
		m, _, ok := v.guess(newHeading(header))
		require.Equal(t, want != "", ok, header)
		if ok {
			require.Equal(t, want, v.table.Columns[m.column].Name, header)
		}
	}
	v := vocabularyOf(t, "pours")
	for header, want := range map[string]string{"Plstr kg": "plaster", "Wtr kg": "water", "Ins. dia. mm": "inside_diameter"} {
		m, _, ok := v.guess(newHeading(header))
		require.True(t, ok, header)
		require.Equal(t, want, v.table.Columns[m.column].Name)
	}
}

func TestUnitsByPlausibility(t *testing.T) {
	log := func(head string, walls ...string) string {
		var b strings.Builder
		b.WriteString("Date,Mold,Dwell (min)," + head + "\n")
		for i, w := range walls {
			fmt.Fprintf(&b, "2025-03-%02d,A,20,%s\n", i+1, w)
		}
		return b.String()
	}
	res := readText(t, "a.csv", log("Wall", "5", "5.1", "5.2", "4.9", "4.8", "0.2"))
	p := find(t, res, CodeUnitDoubted)
	require.Equal(t, "D7", p.Cell)
	require.Contains(t, p.Message, "5.08 mm")
	require.Empty(t, casts(res)[5].WallsMM)

	res = readText(t, "a.csv", log("Wall", "0.2", "0.21", "0.19", "0.22", "0.18", "0.55"))
	p = find(t, res, CodeUnitDoubted)
	require.Equal(t, "D1", p.Cell)
	require.Contains(t, p.Message, "are these inches?")
	for _, c := range casts(res) {
		require.Empty(t, c.WallsMM, "no wall is used until the header says so")
	}
	require.NotContains(t, codes(readText(t, "a.csv", log("Wall (in)", "0.2", "0.21", "0.19", "0.22", "0.18", "0.55")).Problems), CodeUnitDoubted)
	require.Contains(t, find(t, readText(t, "a.csv", log("Wall (in)", "5.2")), CodeUnitDoubted).Message, "132.1 mm")

	res = readText(t, "a.csv", "Date,Mold,Dwell,Wall (mm)\n2025-03-01,A,20,5\n2025-03-02,A,21,5\n2025-03-03,A,22,5\n2025-03-04,A,19,5\n2025-03-05,A,18,5\n2025-03-06,A,1200,5\n2025-03-07,A,0.3,5\n")
	n := 0
	for _, p := range res.Problems {
		if p.Code == CodeUnitDoubted {
			n++
		}
	}
	require.Equal(t, 2, n, "seconds and hours among minutes")
}

// A hostile header must cost little: every row is a header of many columns.
func TestManyHeadersSideBySideAreReadInTime(t *testing.T) {
	row := strings.Repeat("Date,Mold,Dwell,Wall,", 120)
	start := time.Now()
	readText(t, "a.csv", strings.Repeat(row+"\n", 200))
	readText(t, "a.csv", strings.Repeat(strings.Repeat("Date,Mold,,Dwell,Wall,Form,", 20)+"\n", 200))
	require.Less(t, time.Since(start), 20*time.Second)
}
