package ingest

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func TestTheSameRowTwiceIsSetAside(t *testing.T) {
	const header = "Cast,Date,Time,Mold,Dwell (min),Wall (mm),Glaze\n"
	dir := folder(t, map[string]string{
		"a.csv": header + "1,2025-03-01,9:00,A,20,5,x\n,2025-03-02,9:00,A,20,5,x\n,2025-03-03,,A,20,5,x\n,2025-03-03,,A,20,5,x\n",
		"b.csv": header + "1,2025-03-01,9:00,A,20.0,5.00,x\n,2025-03-02,9:00,a,20,5,x\n,2025-03-02,9:00,A,20,5,y\n2,2025-03-05,9:00,A,20,5,x\n2,2025-03-05,9:00,A,20,6,x\n",
	})
	res := readAll(t, Options{}, dir)
	var got []string
	for _, p := range res.Problems {
		if p.Code == CodeDuplicateRow {
			require.Equal(t, tables.SetAside, p.Severity)
			got = append(got, p.File+":"+p.Cell+": "+p.Message)
		}
	}
	require.Equal(t, []string{
		"logs/b.csv:2: the same row, cell for cell, stands in logs/a.csv, row 2",
		"logs/b.csv:3: the same row, cell for cell, stands in logs/a.csv, row 3",
	}, got, "two casts of a day without a number or a time may be alike; another glaze is another row")
	require.Equal(t, 7, res.Studio.Casts.Len())
	_, used, aside, _ := res.Reading.Rows()
	require.Equal(t, []int{7, 2}, []int{used, aside})
	p := find(t, res, CodeCastIDTwice)
	require.Equal(t, []string{"logs/b.csv", "A6", "2"}, []string{p.File, p.Cell, p.Value})
}

func TestNamesListedTwice(t *testing.T) {
	res := readText(t, "a.csv", "Mold,Form,Kind\nA,cup,split\na ,bowl,split\nA,cup,split\nB,bowl,split\nB,bowl,split\n")
	require.Equal(t, []string{CodeDuplicateID, CodeDuplicateRow, CodeDuplicateRow, CodeSpellingJoined}, codes(res.Problems))
	require.Equal(t, []string{"A", "B"}, res.Studio.Molds.Texts("mold"))
	require.Equal(t, []string{"cup", "bowl"}, res.Studio.Molds.Texts("form"))
	require.Equal(t, []string{"3", "6"}, []string{res.Problems[1].Cell[1:], res.Problems[3].Cell[1:]})
}

func TestSpellingsOfANameAreJoined(t *testing.T) {
	dir := folder(t, map[string]string{
		"casts.csv": "Date,Mold,Dwell (min),Wall (mm)\n2025-03-01,m-7,20,5\n2025-03-02, M-7 ,20,5\n2025-03-03,m-7,20,5\n",
		"molds.csv": "Mold,Form\nM-7,Cup\nM-8,cup\n",
	})
	res := readAll(t, Options{}, dir)
	require.Equal(t, []string{"M-7", "M-7", "M-7"}, res.Studio.Casts.Texts("mold"), "the molds sheet's spelling wins")
	require.Equal(t, []string{"Cup", "Cup"}, res.Studio.Molds.Texts("form"))
	require.Equal(t, []string{CodeSpellingJoined, CodeSpellingJoined}, codes(res.Problems))
	require.Contains(t, find(t, res, CodeSpellingJoined).Message, "the mold “m-7” (2 rows) was taken to be “M-7”")
}

func TestNamesThatNoSheetLists(t *testing.T) {
	dir := folder(t, map[string]string{
		"casts.csv":  "Date,Mold,Slip,Dwell (min),Wall (mm)\n2025-03-01,A,S1,20,5\n2025-03-02,X,S2,20,5\n2025-03-03,X,,20,5\n",
		"molds.csv":  "Mold,Form,Pour\nA,cup,P9\n",
		"slips.csv":  "Slip,SG\nS1,1.75\n",
		"forms.csv":  "Form,Target wall (mm)\nbowl,5\n",
		"pours.csv":  "Pour,Date,Plaster (kg),Water (kg)\nP1,2025-01-01,4,2.8\n",
		"gaps.csv":   "Pour,Height (mm),Gap (mm)\nP1,0,50\nP2,0,50\n",
		"orders.csv": "Form,Pieces,Due\nbowl,20,2025-06-01\nvase,20,2025-06-01\n",
	})
	res := readAll(t, Options{}, dir)
	var got []string
	for _, p := range res.Problems {
		require.Equal(t, tables.Notice, p.Severity)
		got = append(got, p.Code+" "+p.File+" "+p.Cell)
	}
	require.Equal(t, []string{
		CodeMoldNotListed + " logs/casts.csv B3", CodeSlipNotListed + " logs/casts.csv C3", CodePourNotListed + " logs/gaps.csv A3",
		CodeFormNotListed + " logs/molds.csv B2", CodePourNotListed + " logs/molds.csv C2", CodeFormNotListed + " logs/orders.csv A3",
	}, got)
	require.Contains(t, find(t, res, CodeMoldNotListed).Message, "used in 2 rows")
	require.Equal(t, 3, res.Studio.Casts.Len())
}

func TestCastsBeyondTheLifeOfTheirMold(t *testing.T) {
	dir := folder(t, map[string]string{
		"casts.csv": "Date,Mold,Dwell (min),Wall (mm)\n2025-02-01,A,20,5\n2025-03-01,A,20,5\n2025-05-01,a,20,5\n",
		"molds.csv": "Mold,Form,In service,Ended on,End reason\nA,cup,2025-02-15,2025-04-01,worn\n",
	})
	res := readAll(t, Options{}, dir)
	require.Equal(t, "A2", find(t, res, CodeCastBeforeStart).Cell)
	require.Equal(t, "A4", find(t, res, CodeCastAfterEnd).Cell)
	require.Equal(t, 3, res.Studio.Casts.Len())
}

func TestPlasterAndWaterInEachOthersColumn(t *testing.T) {
	res := readText(t, "a.csv", "Pour,Date,Plaster (kg),Water (kg)\nP1,2025-01-01,4,2.8\nP2,2025-01-01,2.8,4\n")
	p := find(t, res, CodeOddConsistency)
	require.Equal(t, "D3", p.Cell)
	require.Contains(t, p.Message, "143 parts to 100")
	require.Equal(t, 2, res.Studio.Pours.Len())
}

func TestACastWithoutAWallIsNoError(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwell (min),Wall (mm),Result\n2025-03-01,A,20,,reject\n2025-03-02,A,20,,2nd\n2025-03-03,A,20,,good\n2025-03-04,A,,5,bin\n2025-03-05,,20,5,good\n")
	var got []string
	for _, p := range res.Problems {
		if p.Code != CodeWordRead {
			got = append(got, p.Cell+" "+p.Code+" "+p.Severity)
		}
	}
	require.Equal(t, []string{
		"D2 " + CodeNoWallOnFaulty + " " + tables.Notice, "D3 " + CodeNoWallOnFaulty + " " + tables.Notice,
		"D4 " + CodeNoWall + " " + tables.Notice, "C5 " + CodeMissing + " " + tables.SetAside, "B6 " + CodeMissing + " " + tables.SetAside,
	}, got)
	_, used, aside, _ := res.Reading.Rows()
	require.Equal(t, []int{3, 2}, []int{used, aside})
	require.Equal(t, 4, res.Studio.Casts.Len(), "all casts whose mold and date are known count towards its age")
	require.True(t, tables.Has(casts(res)[3].WallMM()))
	require.False(t, tables.Has(casts(res)[3].DwellMin))
	require.Equal(t, []string{"reject", "second", "good", "reject"}, res.Studio.Casts.Texts("result"))
	for _, p := range res.Problems {
		if p.Cell == "C5" {
			require.Contains(t, p.Message, "still counts towards the mold's age")
		}
		if p.Cell == "B6" {
			require.NotContains(t, p.Message, "counts towards")
		}
	}
}

func TestDatesInTheFuture(t *testing.T) {
	dir := folder(t, map[string]string{"a.csv": "Date,Mold,Dwell (min),Wall (mm)\n2025-03-01,A,20,5\n2052-03-01,A,20,5\n"})
	require.Empty(t, readAll(t, Options{}, dir).Problems)
	res := readAll(t, Options{Today: time.Date(2025, 4, 1, 0, 0, 0, 0, time.UTC)}, dir)
	require.Equal(t, "A3", find(t, res, CodeFutureDate).Cell)
	require.Equal(t, 2, res.Studio.Casts.Len())
}

func TestBasesComeFromTheHeader(t *testing.T) {
	res := readText(t, "a.csv", "Pour,Date,Plaster (kg),Water (kg),Left over dry plaster (kg),Spilled (kg),Trimmed (kg)\nP1,2025-01-01,4,2.8,0.5,0.2,\n")
	p := res.Studio.Pours.Row(0)
	require.Equal(t, []string{tables.AsDry, tables.AsWeighed, ""}, []string{p.LeftoverBasis, p.SpilledBasis, p.TrimmedBasis})
	res = readText(t, "a.csv", "Date,Mold,Dwell (min),Fired wall (mm)\n2025-03-01,A,20,5\n")
	require.Equal(t, tables.WallFired, casts(res)[0].WallBasis)
	res = readText(t, "a.csv", "Date,Mold,Dwell (min),Wall (mm)\n2025-03-01,A,20,5\n")
	require.Equal(t, tables.WallWet, casts(res)[0].WallBasis)
}

func TestReadingsOfOneWall(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwell (min),wall_1 (mm),wall_2 (mm),wall_3 (in)\n2025-03-01,A,20,5,x,0.2\n2025-03-02,A,20,-,,\n2025-03-03,A,20,5; 5.2,n/a,\n")
	require.Equal(t, []float64{5, 5.08}, casts(res)[0].WallsMM)
	require.Equal(t, []float64{5, 5.2}, casts(res)[2].WallsMM)
	require.Equal(t, []string{"E2", "D3"}, []string{res.Problems[0].Cell, res.Problems[1].Cell})
	require.Equal(t, []string{tables.ValueIgnored, tables.Notice}, []string{res.Problems[0].Severity, res.Problems[1].Severity})
}

func TestPercentAndDayFractionsAreInferredByColumn(t *testing.T) {
	res := readText(t, "a.csv", "Form,Drying shrinkage,Firing shrinkage,Rest (h),Max dwell\ncup,4,0.08,0.5,0.0208333333333333\nbowl,5.5,0.09,0,45\n")
	f := res.Studio.Forms
	require.Equal(t, []float64{0.04, 0.055}, f.Numbers("drying_shrinkage"))
	require.Equal(t, []float64{0.08, 0.09}, f.Numbers("firing_shrinkage"))
	require.Equal(t, []float64{0.5, 0}, f.Numbers("rest_hours"))
	require.Equal(t, []float64{30, 45}, f.Numbers("longest_dwell"))
	require.Equal(t, []string{CodeDayFraction, CodePercentInferred, CodeUnitAssumed}, codes(res.Problems))
}

func TestUnitsThatChangeTheNumber(t *testing.T) {
	res := readText(t, "a.csv", "Form,Pieces per lb,Casts per week,Rest (d)\ncup,2,10,1\n")
	row := res.Studio.Forms.Row(0)
	require.InDelta(t, 2/0.45359237, row.PiecesPerKgSlip, 1e-9)
	require.InDelta(t, 24, row.RestHours, 1e-9)
	res = readText(t, "a.csv", "Pour,Date,Plaster (lb),Water (qt)\nP1,2025-01-01,2.75,1\nP2,2025-01-02,2.75 lb,1 L\n")
	require.InDelta(t, 0.998*3.785411784/4, res.Studio.Pours.Row(0).WaterKg, 1e-9)
	require.InDelta(t, 0.998, res.Studio.Pours.Row(1).WaterKg, 1e-9)
	require.Equal(t, []string{CodeWaterByVolume}, codes(res.Problems))
}

func TestPricesOrdersAndWholeNumbers(t *testing.T) {
	dir := folder(t, map[string]string{
		"prices.csv": "Item,Unit,Price,From\nPlaster,50 lb bag,$21.50,2025-01-01\nLabor,hour,€18,\nwool,kg,3,\n",
		"orders.csv": "Form,Pieces,Due\ncup,\"1,200\",2025-06-01\ncup,12.5,2025-06-01\ncup,1.300,2025-06-01\ncup,-3,2025-06-01\ncup,500 pieces,2025-06-02\n",
	})
	res := readAll(t, Options{}, dir)
	require.Equal(t, []float64{21.5, 18}, res.Studio.Prices.Numbers("price"))
	require.Equal(t, []string{"plaster", "labour"}, res.Studio.Prices.Texts("item"))
	require.Equal(t, []string{CodeOutOfRange, CodeUnknownWord, CodeUnreadable, CodeWordRead}, codes(res.Problems))
	var pieces []tables.Count
	for _, o := range res.Studio.Orders.Rows() {
		pieces = append(pieces, o.Pieces)
	}
	require.Equal(t, []tables.Count{1200, 1300, 500}, pieces)
}

func TestTheOrderOfArgumentsDoesNotMatter(t *testing.T) {
	dir := folder(t, map[string]string{
		"a.csv": strings.Replace(plainLog, "Käfer", "KÄFER", 1), "b.csv": plainLog, "m.csv": "Mold,Form\nkäfer,cup\n",
	})
	a := readAll(t, Options{}, dir+"/a.csv", dir+"/b.csv", dir+"/m.csv")
	b := readAll(t, Options{}, dir+"/m.csv", dir+"/b.csv", dir+"/a.csv")
	require.Equal(t, a.Problems, b.Problems)
	require.Equal(t, a.Reading, b.Reading)
	require.Equal(t, casts(a)[0].Mold, casts(b)[0].Mold)
	require.Equal(t, a.Studio.Blocks, b.Studio.Blocks)
}
