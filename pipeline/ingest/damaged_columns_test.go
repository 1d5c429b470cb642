package ingest

import (
	"bytes"
	"context"
	"encoding/binary"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/apache/arrow/go/v17/parquet/compress"
	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// readColumnar reads bytes as a file of typed columns and holds that they end in
// rows with an account, or in one message.
func readColumnar(t testing.TB, name string, data []byte) (Reading, []tables.Problem) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	b, err := grid.ReadColumnar(ctx, name, bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatalf("%v: it hangs", err)
	}
	r := &reader{shelves: newShelves(), byHash: map[string]string{}, today: tables.NoDate}
	r.problems.files = []File{{Name: name}}
	if b.Unreadable != "" {
		r.refuse(0, b.Unreadable)
		return Reading{Files: r.problems.files}, r.problems.sorted()
	}
	if err := r.book(ctx, 0, b); err != nil {
		t.Fatal(err)
	}
	r.crosscheck()
	for _, a := range r.sheets {
		if err := a.fill(&r.problems.files[0].Sheets[a.sheet]); err != nil {
			t.Fatal(err)
		}
	}
	return Reading{Files: r.problems.files}, r.problems.sorted()
}

func columnFiles(t testing.TB) map[string][]byte {
	all := someCasts(40, 6)
	rec := recordOf(all)
	defer rec.Release()
	return map[string][]byte{
		"a.parquet": parquetOf(t, rec, 15, compress.Codecs.Snappy),
		"b.parquet": parquetOf(t, rec, 1000, compress.Codecs.Uncompressed),
		"a.arrow":   arrowOf(t, rec, 20, true),
		"b.arrow":   arrowOf(t, rec, 20, false),
	}
}

func TestDamagedFilesOfColumnsEndInOneMessage(t *testing.T) {
	for name, data := range columnFiles(t) {
		rng := rand.New(rand.NewPCG(7, uint64(len(data))))
		refused := 0
		for range 150 {
			bad := bytes.Clone(data)
			switch rng.IntN(3) {
			case 0:
				bad = bad[:rng.IntN(len(bad))]
			case 1:
				for range 1 + rng.IntN(4) {
					bad[rng.IntN(len(bad))] = byte(rng.Uint32())
				}
			default: // lengths and counts live near the end
				from := len(bad) - min(len(bad), 600)
				for range 1 + rng.IntN(3) {
					bad[from+rng.IntN(len(bad)-from)] = byte(rng.Uint32())
				}
			}
			if len(bad) == 0 {
				continue
			}
			reading, problems := readColumnar(t, name, bad)
			if reading.Files[0].Unreadable != "" {
				refused++
				require.Len(t, problems, 1, name)
				require.NotEmpty(t, problems[0].Mend)
			}
		}
		require.Greater(t, refused, 20, name)
	}
}

func TestWhatIsNoFileOfColumnsIsSaid(t *testing.T) {
	whole := columnFiles(t)
	footer := func(n uint32) []byte {
		data := bytes.Clone(whole["a.parquet"])
		binary.LittleEndian.PutUint32(data[len(data)-8:], n)
		return data
	}
	large := append([]byte("PAR1"), make([]byte, grid.MaxFooter+100)...)
	large = append(binary.LittleEndian.AppendUint32(large, grid.MaxFooter+1), "PAR1"...)
	encrypted := append(bytes.Clone(whole["a.parquet"][:len(whole["a.parquet"])-4]), "PARE"...)
	for _, c := range []struct {
		name string
		data []byte
		why  string
	}{
		{"a.parquet", []byte("PAR1"), "too short"},
		{"a.parquet", []byte(oneCast), "not a Parquet file"},
		{"a.parquet", footer(1 << 31), "damaged"},
		{"a.parquet", footer(7), "damaged"},
		{"a.parquet", large, "larger than 64 MiB"},
		{"a.parquet", encrypted, "encrypted"},
		{"a.parquet", whole["a.arrow"], "not a Parquet file"},
		{"a.arrow", whole["a.parquet"], "Parquet file under the name"},
		{"a.arrow", []byte("FEA1" + strings.Repeat("x", 40)), "first version of Feather"},
		{"a.arrow", []byte(oneCast), "not an Arrow file"},
	} {
		reading, problems := readColumnar(t, c.name, c.data)
		require.Contains(t, reading.Files[0].Unreadable, c.why)
		require.Len(t, problems, 1)
		require.NotContains(t, problems[0].Mend, "spreadsheet program", c.why)
	}
}

// A struct, a map or a list of texts is left out, and said so; the rest is read.
func TestNestedColumnsAreLeftOut(t *testing.T) {
	schema := arrow.NewSchema([]arrow.Field{
		{Name: "date", Type: arrow.FixedWidthTypes.Timestamp_us}, {Name: "mold", Type: arrow.BinaryTypes.String},
		{Name: "dwell", Type: arrow.FixedWidthTypes.Duration_s}, {Name: "wall", Type: arrow.PrimitiveTypes.Float64},
		{Name: "who", Type: arrow.StructOf(arrow.Field{Name: "name", Type: arrow.BinaryTypes.String})},
		{Name: "tags", Type: arrow.ListOf(arrow.BinaryTypes.String)},
	}, nil)
	b := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	defer b.Release()
	at, err := arrow.TimestampFromString("2025-03-14T08:30:00", arrow.Microsecond)
	require.NoError(t, err)
	b.Field(0).(*array.TimestampBuilder).Append(at)
	b.Field(1).(*array.StringBuilder).Append("A")
	b.Field(2).(*array.DurationBuilder).Append(22 * 60)
	b.Field(3).(*array.Float64Builder).Append(4.5)
	who := b.Field(4).(*array.StructBuilder)
	who.Append(true)
	who.FieldBuilder(0).(*array.StringBuilder).Append("x")
	tags := b.Field(5).(*array.ListBuilder)
	tags.Append(true)
	tags.ValueBuilder().(*array.StringBuilder).Append("x")
	rec := b.NewRecord()
	defer rec.Release()
	res := readFiles(t, map[string][]byte{"a.arrow": arrowOf(t, rec, 10, true)})
	require.Contains(t, find(t, res, CodeColumnNotUsed).Message, "who, tags")
	c := res.Studio.Casts.Row(0)
	require.Equal(t, []any{tables.MakeDate(2025, 3, 14), 510.0, 22.0, []float64{4.5}}, []any{c.Date, c.TimeMin, c.DwellMin, c.WallsMM})
}

// FuzzColumnar reads any bytes as Parquet and as Arrow.
func FuzzColumnar(f *testing.F) {
	for name, data := range columnFiles(f) {
		f.Add(strings.HasSuffix(name, ".parquet"), data)
	}
	f.Add(true, []byte("PAR1\x15\x04\x00\x00\x00\x00PAR1"))
	f.Add(false, []byte("ARROW1\x00\x00\xff\xff\xff\xff\x10\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, isParquet bool, data []byte) {
		name := "a.arrow"
		if isParquet {
			name = "a.parquet"
		}
		reading, problems := readColumnar(t, name, data)
		checkProblems(t, problems, reading)
	})
}
