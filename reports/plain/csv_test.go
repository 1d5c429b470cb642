package plain

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

// The check value is what encoding/csv writes.
func TestTextIsQuotedAsTheStandardLibraryDoes(t *testing.T) {
	for _, text := range []string{"", "a", "a b", " a", "a,b", `say "cast"`, `"`, `""`, "a\nb", "a\r\nb", `\.`, "\u00a0x", "é", "\xff", ",", "'=1"} {
		var want bytes.Buffer
		w := csv.NewWriter(&want)
		require.NoError(t, w.Write([]string{"x", text, "y"}))
		w.Flush()
		require.Equal(t, strings.TrimSuffix(want.String(), "\n"), "x,"+string(appendText(nil, text))+",y", "%q", text)
	}
}

func TestNumbersAreWrittenAsArrowWritesThem(t *testing.T) {
	rec := recordOf([]tables.CastUsed{
		{File: "a", Row: 7, Mold: "=M", Date: tables.MakeDate(2025, 3, 4), AgeCasts: 3, DwellMin: 1e21, WallMM: 0.1, FittedMM: 1e-7, ResidualZ: -3, Weight: 1},
		{File: "a", Row: tables.NoCount, Date: tables.NoDate, DwellMin: tables.Absent(), WallMM: 123456789.5},
	})
	defer rec.Release()
	for j := range int(rec.NumCols()) {
		a, cells := rec.Column(j), cellsOf(rec.Column(j))
		for i := range a.Len() {
			if a.IsValid(i) && rec.ColumnName(j) != "mold" {
				require.Equal(t, a.ValueStr(i), string(cells(nil, i)), rec.ColumnName(j))
			}
		}
	}
}

// A table that is worked out as it is written is that of its rows.
func TestAStreamedTableIsTheSameCSV(t *testing.T) {
	var rows []tables.CastUsed
	for i := range 2*streamRows + 5 {
		rows = append(rows, tables.CastUsed{Mold: "M", Row: tables.Count(i), WallMM: float64(i) / 7})
	}
	var want, got bytes.Buffer
	rec := recordOf(rows)
	require.NoError(t, CSV(&want, rec))
	rec.Release()
	out, groups := newCSV(&got), 0
	stream(slices.Values(rows)).records(func(r arrow.Record) bool {
		groups++
		require.NoError(t, out.Write(r))
		r.Release()
		return true
	})
	require.NoError(t, out.Close())
	require.Equal(t, 3, groups)
	require.True(t, want.String() == got.String())

	none := 0
	stream(slices.Values([]tables.CastUsed(nil))).records(func(r arrow.Record) bool { none += 1 + int(r.NumRows()); r.Release(); return true })
	require.Equal(t, 1, none, "the columns alone")
}
