package ingest

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/tables"
)

func TestAMisspeltHeaderIsTakenForTheNearestAndSaysSo(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwel (min),Wall thicknes (mm)\n2025-03-01,A,20,5.1\n2025-03-02,A,25,5.6\n")
	require.Len(t, casts(res), 2)
	require.Equal(t, tables.Notice, find(t, res, CodeHeaderGuessed).Severity)
}

func TestAUnitThatDoesNotMeasureTheColumn(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwell (min),Wall (mm),Mold mass (mm)\n2025-03-01,A,20,5.1,3\n")
	require.Len(t, casts(res), 1)
	p := find(t, res, CodeUnitMisfit)
	require.Equal(t, "E1", p.Cell)
	require.Contains(t, p.Message, "mm")
}

func TestEntriesOfAMappingThatFitNothingAreTold(t *testing.T) {
	m, err := mapping.Parse("[[sheet]]\n[sheet.columns]\n\"Form\" = \"mold\"\n\"Nie\" = \"note\"\n\n[[sheet]]\nfile = \"other.csv\"\n")
	require.NoError(t, err)
	path := folder(t, map[string]string{"a.csv": "Date,Form,Dwell (min),Wall (mm)\n2025-03-01,A,20,5.1\n"})
	res := readAll(t, Options{Mapping: m}, path)
	require.Len(t, casts(res), 1)
	require.Equal(t, "A", casts(res)[0].Mold)
	var told []string
	for _, p := range res.Problems {
		if p.Code == CodeMappingUnused {
			told = append(told, p.Message)
		}
	}
	require.Len(t, told, 2)
	require.Contains(t, told[0], `"Nie"`)
	require.Contains(t, told[1], "fits no sheet")
	find(t, res, CodeMappingUsed)
}

func TestALineOfADaySheetThatWasNotCastIsNoData(t *testing.T) {
	rows := "2025-03-03,A,22,2025-03-03,20,5.1,good\n2025-03-03,B,24,,,,\n2025-03-04,A,22,,,5.2,\n"
	res := readText(t, "a.csv", "Planned,Mold,Leave in (min),Cast on,Dwell (min),Wall (mm),Result\n"+rows)
	require.Len(t, casts(res), 1)
	require.Equal(t, tables.Notice, find(t, res, CodeNotCast).Severity)
	_, used, aside, _ := res.Reading.Rows()
	require.Equal(t, []int{1, 1}, []int{used, aside}, "a line that is filled in by half is told of")

	res = readText(t, "a.csv", "Week,Mold,Leave in (min),Cast on,Dwell (min),Wall (mm),Result\n"+rows)
	_, _, aside, _ = res.Reading.Rows()
	require.Equal(t, 2, aside, "on another sheet a lone mold is a row with something missing")
}
