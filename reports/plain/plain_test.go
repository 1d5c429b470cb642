package plain

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/apache/arrow/go/v17/parquet/file"
	"github.com/apache/arrow/go/v17/parquet/pqarrow"
	"github.com/stretchr/testify/require"

	"moldwright/pipeline"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

func sample() pipeline.Result {
	return pipeline.Result{Wall: wall.Answer{States: []tables.MoldState{
		{Mold: "=1+1", Form: "cup", AgeCasts: 12, RateMM2PerMin: 1.0 / 3, NextWallMM: tables.Absent()},
		{Mold: "plain", AgeCasts: tables.NoCount},
	}}}
}

func TestEveryTableIsWrittenTwiceTheSame(t *testing.T) {
	a, b := t.TempDir(), t.TempDir()
	require.NoError(t, Write(a, sample()))
	require.NoError(t, Write(b, sample()))
	entries, err := os.ReadDir(a)
	require.NoError(t, err)
	require.Len(t, entries, 2*len(all(sample())), "each table in two formats, none over another of the same name")
	for _, e := range entries {
		x, err := os.ReadFile(filepath.Join(a, e.Name()))
		require.NoError(t, err)
		y, err := os.ReadFile(filepath.Join(b, e.Name()))
		require.NoError(t, err)
		require.True(t, bytes.Equal(x, y), e.Name())
	}
}

// TestTheTablesWrittenAreThoseOfThePage holds that pipeline/COLUMNS.md names the
// tables of a report, all of them and no others.
func TestTheTablesWrittenAreThoseOfThePage(t *testing.T) {
	var written, declared []string
	for _, table := range all(sample()) {
		written = append(written, table.name)
	}
	for _, table := range tables.Outputs() {
		declared = append(declared, table.Name)
	}
	require.ElementsMatch(t, declared, written)
}

func TestCSVKeepsTextTextAndAbsentEmpty(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, Write(dir, sample()))
	f, err := os.Open(filepath.Join(dir, "mold_state.csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 3)
	require.Equal(t, "'=1+1", rows[1][0], "a spreadsheet program must not run it")
	require.Equal(t, "0.3333333333333333", rows[1][5])
	require.Equal(t, "", rows[1][10])
	require.Equal(t, "", rows[2][4])
}

func TestParquetReadsBackExactly(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, Write(dir, sample()))
	r, err := file.OpenParquetFile(filepath.Join(dir, "mold_state.parquet"), false)
	require.NoError(t, err)
	defer r.Close()
	fr, err := pqarrow.NewFileReader(r, pqarrow.ArrowReadProperties{}, memory.DefaultAllocator)
	require.NoError(t, err)
	tab, err := fr.ReadTable(context.Background())
	require.NoError(t, err)
	defer tab.Release()
	require.EqualValues(t, 2, tab.NumRows())
	require.Equal(t, tables.Of[tables.MoldState]().Names()[5], tab.Schema().Field(5).Name)
	require.Equal(t, 1.0/3, tab.Column(5).Data().Chunk(0).(*array.Float64).Value(0))
	require.Equal(t, "=1+1", tab.Column(0).Data().Chunk(0).(*array.String).Value(0), "exact values belong in Parquet")
	require.True(t, tab.Column(10).Data().Chunk(0).IsNull(0))
}

// A disk may be full at any byte.
func TestAFullDiskIsAnErrorNotAPanic(t *testing.T) {
	f := tables.FrameOf(sample().Wall.States...)
	defer f.Release()
	rec := f.Record()
	defer rec.Release()
	var whole bytes.Buffer
	require.NoError(t, Parquet(&whole, rec))
	for room := 0; room < whole.Len(); room += 1 + whole.Len()/50 {
		require.ErrorIs(t, Parquet(&full{room}, rec), errFull, "%d bytes of %d", room, whole.Len())
	}
}

var errFull = errors.New("full")

// full takes so many bytes and no more.
type full struct{ room int }

func (f *full) Write(p []byte) (int, error) {
	n := min(len(p), f.room)
	f.room -= n
	if n < len(p) {
		return n, errFull
	}
	return n, nil
}
