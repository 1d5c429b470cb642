package history

import (
	"math"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func cast(mold string, day int, minute, wall float64) tables.Cast {
	return tables.Cast{Mold: mold, Date: tables.MakeDate(2025, 3, day), TimeMin: minute, DwellMin: 20, WallsMM: []float64{wall},
		DemoldMin: tables.Absent(), MoldMassKg: tables.Absent(), RoomC: tables.Absent(), RoomHumidity: tables.Absent()}
}

func TestAgesCountInOrderOfTimeNotOfRows(t *testing.T) {
	s := tables.Studio{
		Molds: tables.FrameOf(tables.Mold{Mold: "M-10", Form: "cup", Kind: "split", CastsBeforeLog: 7, InService: tables.NoDate, EndedOn: tables.NoDate}),
		Casts: tables.FrameOf(cast("m-10", 2, 600, 5), cast("M-10", 1, 900, 4), cast("M-10", 1, 500, 3), cast("M-9", 1, 1, 6)),
	}
	log, problems := Build(s, tables.NoDate)
	require.Empty(t, problems)
	require.Equal(t, tables.MakeDate(2025, 3, 2), log.AsOf)
	require.Len(t, log.Molds, 2)
	require.Equal(t, "M-9", log.Molds[0].Mold, "numbers in names sort as numbers")
	require.Equal(t, UnknownKind, log.Molds[0].Kind)
	m := log.Molds[1]
	require.Equal(t, 10, m.Age)
	var walls []float64
	for i, c := range log.Casts[m.First:m.Last] {
		require.EqualValues(t, 7+i, c.Age)
		walls = append(walls, c.WallMM)
	}
	require.Equal(t, []float64{3, 4, 5}, walls)
}

func TestADayWithoutTimesKeepsTheLogsOrder(t *testing.T) {
	s := tables.Studio{Casts: tables.FrameOf(cast("A", 1, 900, 1), cast("A", 1, math.NaN(), 2), cast("A", 1, 100, 3))}
	log, _ := Build(s, tables.NoDate)
	for i, c := range log.Casts {
		require.Equal(t, float64(i+1), c.WallMM)
	}
}

// Check value: trade.md, total shrinkage, wet 5.00 mm → fired 4.416 mm at 4 % and 8 % (derived).
func TestFiredWallsAreTurnedIntoWetOnes(t *testing.T) {
	c := cast("A", 1, 1, 4.416)
	c.WallBasis = tables.WallFired
	s := tables.Studio{
		Molds: tables.FrameOf(tables.Mold{Mold: "A", Form: "cup", CastsBeforeLog: tables.NoCount, InService: tables.NoDate, EndedOn: tables.NoDate}),
		Forms: tables.FrameOf(tables.Form{Form: "Cup", DryingShrinkage: 0.04, FiringShrinkage: 0.08}),
		Casts: tables.FrameOf(c),
	}
	log, problems := Build(s, tables.NoDate)
	require.Empty(t, problems)
	require.InDelta(t, 5.00, log.Casts[0].WallMM, 1e-3)

	s.Forms = tables.Frame[tables.Form]{}
	log, problems = Build(s, tables.NoDate)
	require.Len(t, problems, 1)
	require.True(t, math.IsNaN(log.Casts[0].WallMM))
	require.Equal(t, 1, log.Molds[0].Age, "a cast without a usable wall still ages the mold")
}

func TestAnAsOfDayLooksBack(t *testing.T) {
	s := tables.Studio{
		Molds: tables.FrameOf(tables.Mold{Mold: "A", Form: "cup", Status: StatusBroken, EndedOn: tables.MakeDate(2025, 3, 9), EndReason: "broken", InService: tables.NoDate, CastsBeforeLog: tables.NoCount}),
		Casts: tables.FrameOf(cast("A", 1, 1, 5), cast("A", 8, 1, 5)),
	}
	log, problems := Build(s, tables.MakeDate(2025, 3, 5))
	require.Len(t, problems, 1)
	require.Equal(t, 1, log.Molds[0].Age)
	require.True(t, log.Molds[0].InUse(), "it had not broken by then")
}

// A mold that was in use before its log begins: the ages written with its casts
// say since how many, unless its sheet does.
func TestAgesWrittenWithTheCastsCountFromBeforeTheLog(t *testing.T) {
	aged := func(mold string, day int, age tables.Count) tables.Cast {
		c := cast(mold, day, 1, 5)
		c.Age = age
		return c
	}
	listed := tables.Mold{Mold: "B", Form: "cup", CastsBeforeLog: 7, InService: tables.NoDate, EndedOn: tables.NoDate}
	s := tables.Studio{
		Molds: tables.FrameOf(listed),
		Casts: tables.FrameOf(aged("A", 2, 16), aged("A", 1, tables.NoCount), aged("B", 1, 40), aged("C", 1, 0), aged("D", 1, tables.NoCount)),
	}
	log, _ := Build(s, tables.NoDate)
	require.Equal(t, []int{15, 7, 0, 0}, []int{log.Molds[0].BeforeLog, log.Molds[1].BeforeLog, log.Molds[2].BeforeLog, log.Molds[3].BeforeLog})
	require.Equal(t, []int32{15, 16}, []int32{log.Casts[0].Age, log.Casts[1].Age})
	require.Equal(t, 17, log.Molds[0].Age)
}

func TestAFormWrittenWithTheCastsIsThatOfAnUnlistedMold(t *testing.T) {
	c := cast("A", 1, 1, 5)
	d := cast("A", 2, 1, 5)
	d.Form = "cup"
	s := tables.Studio{Casts: tables.FrameOf(c, d), Forms: tables.FrameOf(tables.Form{Form: "Cup"})}
	log, _ := Build(s, tables.NoDate)
	require.Equal(t, "Cup", log.Molds[0].Form)
}

func TestNothingToOrder(t *testing.T) {
	log, problems := Build(tables.Studio{}, tables.NoDate)
	require.Empty(t, problems)
	require.Empty(t, log.Molds)
	require.False(t, log.AsOf.Valid())
}

// Logs of tens of millions of casts are kept whole.
func TestACastIsSmall(t *testing.T) {
	require.LessOrEqual(t, unsafe.Sizeof(Cast{}), uintptr(40))
	require.Equal(t, SlipNumber{1, 2, 3}, NumberOfSlip(0x030201))
	require.Equal(t, 0x030201, NumberOfSlip(0x030201).index())
	for _, word := range []string{"", "good", "second", "reject"} {
		require.Equal(t, word, ResultOf(word).String())
	}
}

func TestSlipsAreNamedByNumber(t *testing.T) {
	first, second, none := cast("A", 1, 1, 5), cast("A", 2, 1, 5), cast("A", 3, 1, 5)
	first.Slip, second.Slip = "S2", "s1"
	log, _ := Build(tables.Studio{Casts: tables.FrameOf(none, second, first)}, tables.NoDate)
	var names []string
	for _, c := range log.Casts {
		names = append(names, log.Slip(c))
	}
	require.Equal(t, []string{"S2", "s1", ""}, names)
	require.Empty(t, Log{}.Slip(Cast{}))
}
