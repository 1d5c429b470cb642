package ingest

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCastsBeforeTheirMoldWasPoured(t *testing.T) {
	dir := folder(t, map[string]string{
		"casts.csv": "Date,Mold,Dwell (min),Wall (mm)\n2025-02-01,A,20,5\n2025-03-01,A,20,5\n2025-02-01,B,20,5\n2025-02-01,C,20,5\n",
		"molds.csv": "Mold,Form,Pour\nA,cup,P1\nB,cup,\nC,cup,\n",
		"pours.csv": "Pour,Date,Mold,Plaster (kg),Water (kg),Outcome\nP1,2025-02-10,,4,2.8,\nP2,2025-02-12,B,4,2.8,\nP3,2025-02-14,C,4,2.8,leaked\n",
	})
	res := readAll(t, Options{}, dir)
	var got []string
	for _, p := range res.Problems {
		if p.Code == CodeCastBeforePour {
			got = append(got, p.Cell)
		}
	}
	require.Equal(t, []string{"A2", "A4"}, got, "C's pour leaked and made no mold")
	require.Equal(t, 4, res.Studio.Casts.Len())
}

func TestMoldsWhoseEndCannotBe(t *testing.T) {
	dir := folder(t, map[string]string{
		"molds.csv": "Mold,Form,Pour,In service,Status,Ended on\nA,cup,P1,,in use,2025-04-01\nB,cup,P1,,retired,2025-01-01\nC,cup,,2025-03-01,broken,2025-02-01\nD,cup,P1,2025-03-01,broken,2025-04-01\n",
		"pours.csv": "Pour,Date,Mold,Plaster (kg),Water (kg),Outcome\nP1,2025-02-10,,4,2.8,\nP2,2025-02-12,E,4,2.8,good\nP3,2025-02-14,E,4,2.8,\nP4,2025-02-15,F,4,2.8,cut through\nP5,2025-02-16,F,4,2.8,good\n",
	})
	res := readAll(t, Options{}, dir)
	var got []string
	for _, p := range res.Problems {
		if p.Code == CodeEndConflict || p.Code == CodePouredTwice {
			got = append(got, p.Code+" "+p.Cell)
		}
	}
	require.Equal(t, []string{CodeEndConflict + " F2", CodeEndConflict + " F3", CodeEndConflict + " F4", CodePouredTwice + " C4"}, got)
}

func TestAMoldOfSeveralPartsIsPouredSeveralTimes(t *testing.T) {
	dir := folder(t, map[string]string{
		"molds.csv": "Mold,Form,Kind\nE,jug,multi-part\nF,cup,split\n",
		"pours.csv": "Pour,Date,Mold,Plaster (kg),Water (kg),Outcome\nP1,2025-02-10,E,4,2.8,good\nP2,2025-02-11,E,4,2.8,good\nP3,2025-02-14,F,4,2.8,good\nP4,2025-02-15,F,4,2.8,good\n",
	})
	p := find(t, readAll(t, Options{}, dir), CodePouredTwice)
	require.Equal(t, []string{"C5", "F"}, []string{p.Cell, p.Value})
}

func TestSlipsDatedAfterTheirCasts(t *testing.T) {
	dir := folder(t, map[string]string{
		"casts.csv": "Date,Mold,Slip,Dwell (min),Wall (mm)\n2025-02-01,A,S1,20,5\n2025-02-02,A,S1,20,5\n2025-02-03,A,S2,20,5\n",
		"slips.csv": "Slip,Date,SG\nS1,2025-02-03,1.75\nS2,2025-02-03,1.75\n",
	})
	p := find(t, readAll(t, Options{}, dir), CodeSlipAfterCast)
	require.Equal(t, []string{"C2", "S1"}, []string{p.Cell, p.Value})
	require.Contains(t, p.Message, "2 rows")
}

func TestAgesWrittenAgainstAgesCounted(t *testing.T) {
	const casts = "Date,Mold,Dwell (min),Wall (mm),Mold age\n2025-02-03,A,20,5,12\n2025-02-01,A,20,5,10\n2025-02-02,A,20,5,\n2025-02-04,A,20,5,14\n2025-02-05,A,20,5,15\n2025-02-01,B,20,5,0\n2025-02-02,B,20,5,1\n"
	res := readAll(t, Options{}, folder(t, map[string]string{"casts.csv": casts}))
	p := find(t, res, CodeAgeConflict)
	require.Equal(t, []string{"E5", "14"}, []string{p.Cell, p.Value})
	require.Contains(t, p.Message, "made 14 casts before this one, but the log comes to 13; so in 2 rows")
	res = readAll(t, Options{}, folder(t, map[string]string{"casts.csv": casts, "molds.csv": "Mold,Form,Casts before log\nA,cup,9\nB,cup,0\n"}))
	p = find(t, res, CodeAgeConflict)
	require.Equal(t, "E3", p.Cell, "the molds sheet says how many were made before the log")
	require.Contains(t, p.Message, "so in 4 rows")
}
