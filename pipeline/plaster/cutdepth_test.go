package plaster

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func TestCutMM(t *testing.T) {
	for gap, want := range map[float64]float64{60: 40, 36: 24, 30: 18, 12: 0, 5: 0, 0: 0} {
		require.InDelta(t, want, cutMM(gap, 12), 1e-12, "gap %v", gap)
	}
}

func TestTheSawMarginCoversTheReadings(t *testing.T) {
	set := Defaults()
	require.Equal(t, 12.0, set.SawMargin())
	set.ReadingErrorMM = 5
	require.Equal(t, 15.0, set.SawMargin())
}

func TestCutDepthsOfSplitMoldsAndOfUnknownOnes(t *testing.T) {
	var rows []tables.Gap
	rows = append(rows, gapRows("P2", 80, 40, 0, 60)...)
	rows = append(rows, tables.Gap{Pour: "P1", HeightMM: 0, GapsMM: []float64{60, 45, 51, 70}})
	rows = append(rows, gapRows("P3", 0, 60)...)
	rows = append(rows, gapRows("P9", 0, 20, 30, 10)...)
	l := links{molds: []moldFacts{{}, {kind: splitMold, listed: true}, {kind: "one-piece", listed: true}},
		pourOf: numbers{"p1": 1, "p3": 2}, made: grouped{from: []int32{0, 0, 1, 2}, all: []int32{1, 2}}}
	var problems problemList
	got := cutDepths(tables.FrameOf(pour("P1", 4), pour("P2", 4), pour("P3", 4)), gapTables(rows, &problems), l, tables.NoDate, Defaults(), &problems)
	require.Equal(t, []tables.CutDepth{
		{Pour: "P2", HeightMM: 0, GapMM: 60, CutMM: 40},
		{Pour: "P2", HeightMM: 80, GapMM: 40, CutMM: cutMM(40, 12)},
		{Pour: "P1", HeightMM: 0, GapMM: 45, CutMM: 30},
		{Pour: "P9", HeightMM: 0, GapMM: 20, CutMM: 8},
		{Pour: "P9", HeightMM: 30, GapMM: 10, CutMM: 0},
	}, got)
	require.Len(t, problems.rows, 2)
	require.Equal(t, "unknown-pour", problems.rows[0].Code)
	require.Equal(t, "thin-gap", problems.rows[1].Code)
	require.Equal(t, "pour P9: 2 of 2 heights have a gap under 25 mm, the smallest 10 mm at height 30 mm; at 1 of them there is no room for a saw cut", problems.rows[1].Message)
}
