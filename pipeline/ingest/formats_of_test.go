package ingest

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/ipc"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/apache/arrow/go/v17/parquet"
	"github.com/apache/arrow/go/v17/parquet/compress"
	"github.com/apache/arrow/go/v17/parquet/pqarrow"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// someCasts are casts as a log might hold them, blanks included.
func someCasts(n int, seed uint64) []tables.Cast {
	rng := rand.New(rand.NewPCG(seed, 9))
	out := make([]tables.Cast, n)
	for i := range out {
		no := tables.Absent()
		c := tables.Cast{
			Cast: fmt.Sprintf("C-%05d", i+1), Date: tables.MakeDate(2024, 1, 1) + tables.Date(i/7), TimeMin: float64(480 + i%7*61),
			Mold: fmt.Sprintf("M-%02d", rng.IntN(12)+1), Slip: []string{"S1", "S2", ""}[rng.IntN(3)], DwellMin: float64(15+rng.IntN(20)) + 0.5,
			WallsMM:   []float64{float64(30+rng.IntN(40)) / 10, float64(300+rng.IntN(400)) / 100},
			DemoldMin: no, MoldMassKg: no, RoomC: 18 + float64(rng.IntN(9))/2, RoomHumidity: no,
			Result: []string{"good", "second", "reject", ""}[rng.IntN(4)], Note: []string{"", "warm, damp day", "“ü”"}[rng.IntN(3)], Age: tables.NoCount,
		}
		switch rng.IntN(12) {
		case 0:
			c.TimeMin, c.Note = no, ""
		case 1:
			c.WallsMM = c.WallsMM[:1]
		case 2:
			c.WallsMM = nil
		case 3:
			c.DwellMin = no
		case 4:
			c.RoomC = no
		}
		out[i] = c
	}
	return out
}

var typedHeader = []string{"cast", "date", "time", "mold", "slip", "dwell (min)", "wall_1 (mm)", "wall_2 (mm)", "room_temperature (°C)", "result", "note"}

// castCells are the cells of a cast as a person would type them.
func castCells(c tables.Cast) []string {
	number := func(x float64) string {
		if !tables.Has(x) {
			return ""
		}
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	time := ""
	if tables.Has(c.TimeMin) {
		time = fmt.Sprintf("%d:%02d", int(c.TimeMin)/60, int(c.TimeMin)%60)
	}
	walls := [2]string{}
	for i, w := range c.WallsMM {
		walls[i] = number(w)
	}
	return []string{c.Cast, c.Date.String(), time, c.Mold, c.Slip, number(c.DwellMin), walls[0], walls[1], number(c.RoomC), c.Result, c.Note}
}

func csvOf(all []tables.Cast) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write(typedHeader)
	for _, c := range all {
		_ = w.Write(castCells(c))
	}
	w.Flush()
	return b.Bytes()
}

// recordOf is the casts as another program would type them: days, times of day,
// walls as a list.
func recordOf(all []tables.Cast) arrow.Record {
	schema := arrow.NewSchema([]arrow.Field{
		{Name: "cast", Type: arrow.BinaryTypes.String, Nullable: true},
		{Name: "date", Type: arrow.FixedWidthTypes.Date32, Nullable: true},
		{Name: "time", Type: arrow.FixedWidthTypes.Time64us, Nullable: true},
		{Name: "mold", Type: &arrow.DictionaryType{IndexType: arrow.PrimitiveTypes.Int16, ValueType: arrow.BinaryTypes.String}, Nullable: true},
		{Name: "slip", Type: arrow.BinaryTypes.LargeString, Nullable: true},
		{Name: "dwell (min)", Type: arrow.PrimitiveTypes.Float32, Nullable: true},
		{Name: "wall (mm)", Type: arrow.ListOf(arrow.PrimitiveTypes.Float64), Nullable: true},
		{Name: "room_temperature (°C)", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
		{Name: "result", Type: arrow.BinaryTypes.String, Nullable: true},
		{Name: "note", Type: arrow.BinaryTypes.String, Nullable: true},
	}, nil)
	b := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	defer b.Release()
	text := func(k int, s string) {
		switch f := b.Field(k).(type) {
		case *array.StringBuilder:
			if s == "" {
				f.AppendNull()
			} else {
				f.Append(s)
			}
		case *array.LargeStringBuilder:
			if s == "" {
				f.AppendNull()
			} else {
				f.Append(s)
			}
		}
	}
	for _, c := range all {
		text(0, c.Cast)
		b.Field(1).(*array.Date32Builder).Append(arrow.Date32(c.Date))
		if tables.Has(c.TimeMin) {
			b.Field(2).(*array.Time64Builder).Append(arrow.Time64(c.TimeMin * 60e6))
		} else {
			b.Field(2).AppendNull()
		}
		_ = b.Field(3).(*array.BinaryDictionaryBuilder).AppendString(c.Mold)
		text(4, c.Slip)
		if tables.Has(c.DwellMin) {
			b.Field(5).(*array.Float32Builder).Append(float32(c.DwellMin))
		} else {
			b.Field(5).AppendNull()
		}
		list := b.Field(6).(*array.ListBuilder)
		if c.WallsMM == nil {
			list.AppendNull()
		} else {
			list.Append(true)
			list.ValueBuilder().(*array.Float64Builder).AppendValues(c.WallsMM, nil)
		}
		if tables.Has(c.RoomC) {
			b.Field(7).(*array.Float64Builder).Append(c.RoomC)
		} else {
			b.Field(7).AppendNull()
		}
		text(8, c.Result)
		text(9, c.Note)
	}
	return b.NewRecord()
}

func parquetOf(t testing.TB, rec arrow.Record, rowGroup int64, codec compress.Compression) []byte {
	t.Helper()
	table := array.NewTableFromRecords(rec.Schema(), []arrow.Record{rec})
	defer table.Release()
	var b bytes.Buffer
	props := parquet.NewWriterProperties(parquet.WithCompression(codec), parquet.WithDataPageSize(4096))
	require.NoError(t, pqarrow.WriteTable(table, &b, rowGroup, props, pqarrow.DefaultWriterProps()))
	return b.Bytes()
}

func arrowOf(t testing.TB, rec arrow.Record, batch int64, file bool) []byte {
	t.Helper()
	path := filepath.Join(t.TempDir(), "a")
	b, err := os.Create(path)
	require.NoError(t, err)
	defer b.Close()
	var w interface {
		Write(arrow.Record) error
		Close() error
	}
	if w = ipc.NewWriter(b, ipc.WithSchema(rec.Schema())); file {
		fw, err := ipc.NewFileWriter(b, ipc.WithSchema(rec.Schema()), ipc.WithLZ4())
		require.NoError(t, err)
		w = fw
	}
	for from := int64(0); from < rec.NumRows(); from += batch {
		part := rec.NewSlice(from, min(rec.NumRows(), from+batch))
		require.NoError(t, w.Write(part))
		part.Release()
	}
	require.NoError(t, w.Close())
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return data
}

func xlsxOf(t testing.TB, all []tables.Cast) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	set := func(row int, cells []string) {
		for i, c := range cells {
			at, err := excelize.CoordinatesToCellName(i+1, row)
			require.NoError(t, err)
			require.NoError(t, f.SetCellStr("Sheet1", at, c))
		}
	}
	set(1, typedHeader)
	for i, c := range all {
		set(i+2, castCells(c))
	}
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	return b.Bytes()
}

// written are the files of one log in every way in which it may be written.
func written(t testing.TB, all []tables.Cast) map[string]map[string][]byte {
	rec := recordOf(all)
	defer rec.Release()
	parts := map[string][]byte{}
	for k := range 10 {
		parts[fmt.Sprintf("part_%02d.csv", k)] = csvOf(all[len(all)*k/10 : len(all)*(k+1)/10])
	}
	own := tables.FrameOf(all...)
	defer own.Release()
	ownRec := own.Record()
	defer ownRec.Release()
	return map[string]map[string][]byte{
		"csv":          {"a.csv": csvOf(all)},
		"csv in parts": parts,
		"parquet":      {"a.parquet": parquetOf(t, rec, 100, compress.Codecs.Snappy)},
		"parquet zstd": {"a.parquet": parquetOf(t, rec, 1<<20, compress.Codecs.Zstd)},
		"own parquet":  {"a.parquet": parquetOf(t, ownRec, 1<<20, compress.Codecs.Snappy)},
		"own arrow":    {"a.arrow": arrowOf(t, ownRec, 1<<20, true)},
		"arrow file":   {"a.feather": arrowOf(t, rec, 90, true)},
		"arrow stream": {"a.arrow": arrowOf(t, rec, 70, false)},
		"workbook":     {"a.xlsx": xlsxOf(t, all)},
	}
}

func readFiles(t testing.TB, files map[string][]byte) Result {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "log")
	require.NoError(t, os.Mkdir(dir, 0o700))
	for name, data := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o600))
	}
	sources, err := Find([]string{dir})
	require.NoError(t, err)
	res, err := Read(t.Context(), sources, Options{})
	require.NoError(t, err)
	return res
}

// shownCasts are the casts as later stages see them, without their places, and
// the log that is built of them.
func shownCasts(res Result) (rows []string, log history.Log) {
	for _, c := range res.Studio.Casts.Rows() {
		c.Origin = tables.Origin{}
		rows = append(rows, fmt.Sprintf("%+v", c))
	}
	log, _ = history.Build(res.Studio, tables.NoDate)
	return rows, log
}

func TestOneLogInEveryFormatGivesTheSameCasts(t *testing.T) {
	for seed := range uint64(3) {
		all := someCasts(200+int(seed)*117, seed)
		want, log := shownCasts(readFiles(t, map[string][]byte{"a.csv": csvOf(all)}))
		require.NotEmpty(t, want)
		for name, files := range written(t, all) {
			res := readFiles(t, files)
			got, gotLog := shownCasts(res)
			sameLines(t, want, got, fmt.Sprintf("%s: %v", name, codes(res.Problems)))
			sameLines(t, linesOf(log), linesOf(gotLog), name)
			read, used, aside, none := res.Reading.Rows()
			heads := len(files)
			if strings.Contains(name, "parquet") || strings.Contains(name, "arrow") {
				heads = 0 // the names of columns are no row there
			}
			require.Equal(t, []int{len(all) + heads, len(all), heads}, []int{read, used + aside, none}, name)
		}
	}
}

func TestTheNumberOfCoresChangesNothing(t *testing.T) {
	all := someCasts(shareRows+shareRows/2, 4)
	rec := recordOf(all)
	defer rec.Release()
	files := map[string][]byte{"a.csv": csvOf(all[:shareRows+100]), "b.parquet": parquetOf(t, rec, 10_000, compress.Codecs.Snappy)}
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	one := readFiles(t, files)
	_, log := shownCasts(one)
	runtime.GOMAXPROCS(4)
	four := readFiles(t, files)
	_, other := shownCasts(four)
	require.Equal(t, len(one.Problems), len(four.Problems))
	require.Equal(t, fmt.Sprint(one.Problems) == fmt.Sprint(four.Problems), true)
	sameLines(t, linesOf(log), linesOf(other), "log")
}

func TestPlacesInFilesOfColumnsAreNamed(t *testing.T) {
	all := someCasts(20, 5)
	all[6].DwellMin, all[6].Result = 9000, "good"
	rec := recordOf(all)
	defer rec.Release()
	res := readFiles(t, map[string][]byte{"a.parquet": parquetOf(t, rec, 7, compress.Codecs.Snappy)})
	p := find(t, res, CodeOutOfRange)
	require.Equal(t, []string{"log/a.parquet", "", "dwell (min):7"}, []string{p.File, p.Sheet, p.Cell})
	file, _, cell := res.Studio.Blocks.Place(res.Studio.Casts.Origin(6), "mold")
	require.Equal(t, []string{"log/a.parquet", "mold:7"}, []string{file, cell})
}

func linesOf(log history.Log) (lines []string) {
	for _, m := range log.Molds {
		lines = append(lines, fmt.Sprint(m))
	}
	for _, c := range log.Casts {
		lines = append(lines, fmt.Sprint(c, log.Slip(c)))
	}
	return lines
}

// sameLines shows the first difference only: a whole log would be no help.
func sameLines(t *testing.T, want, got []string, what string) {
	t.Helper()
	require.Equal(t, len(want), len(got), what)
	for i := range want {
		if want[i] != got[i] {
			t.Fatalf("%s, line %d:\n%s\n%s", what, i, want[i], got[i])
		}
	}
}
