package ingest

import (
	"bufio"
	"context"
	"fmt"
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

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// A factory's log: 2,000 molds at most, each cast twice a day.
type factoryCast struct {
	date         tables.Date
	minute       int
	mold, slip   string
	dwell        float64
	wall1, wall2 float64
	result       string
}

type factory struct{ molds, slips []string }

func newFactory() factory {
	var f factory
	for k := range 2000 {
		f.molds = append(f.molds, fmt.Sprintf("M-%04d", k+1))
	}
	for k := range 4000 {
		f.slips = append(f.slips, fmt.Sprintf("S%04d", k+1))
	}
	return f
}

func (f factory) cast(i int) factoryCast {
	h := uint64(i+1) * 0x9e3779b97f4a7c15
	h ^= h >> 29
	day := i / 4000
	c := factoryCast{
		date: tables.MakeDate(2018, 1, 1) + tables.Date(day), minute: 420 + i%4000/8, mold: f.molds[i%2000], slip: f.slips[day%4000],
		dwell: 16 + float64(h%17)/2, wall1: 4 + float64(h>>8%97*100%160)/100, result: "good",
	}
	c.wall1 = 4 + float64((h>>8)%160)/100
	c.wall2 = c.wall1 + float64((h>>20)%30)/100 - 0.15
	if h>>40%16 == 0 {
		c.result = "reject"
	}
	return c
}

func writeFactoryCSV(b testing.TB, path string, n int) {
	out, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	w := bufio.NewWriterSize(out, 1<<20)
	w.WriteString("cast,date,time,mold,slip,dwell (min),wall_1 (mm),wall_2 (mm),result\n")
	f := newFactory()
	var line []byte
	for i := range n {
		c := f.cast(i)
		line = strconv.AppendInt(line[:0], int64(i+1), 10)
		line = append(append(line, ','), c.date.String()...)
		line = append(line, fmt.Sprintf(",%02d:%02d,", c.minute/60, c.minute%60)...)
		line = append(append(append(append(line, c.mold...), ','), c.slip...), ',')
		line = append(strconv.AppendFloat(line, c.dwell, 'f', -1, 64), ',')
		line = append(strconv.AppendFloat(line, c.wall1, 'f', 2, 64), ',')
		line = append(strconv.AppendFloat(line, c.wall2, 'f', 2, 64), ',')
		line = append(append(line, c.result...), '\n')
		w.Write(line)
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	if err := out.Close(); err != nil {
		b.Fatal(err)
	}
}

func factorySchema() *arrow.Schema {
	return arrow.NewSchema([]arrow.Field{
		{Name: "cast", Type: arrow.PrimitiveTypes.Int64}, {Name: "date", Type: arrow.FixedWidthTypes.Date32},
		{Name: "time", Type: arrow.FixedWidthTypes.Time32ms}, {Name: "mold", Type: arrow.BinaryTypes.String}, {Name: "slip", Type: arrow.BinaryTypes.String},
		{Name: "dwell (min)", Type: arrow.PrimitiveTypes.Float64}, {Name: "wall_1 (mm)", Type: arrow.PrimitiveTypes.Float64},
		{Name: "wall_2 (mm)", Type: arrow.PrimitiveTypes.Float64}, {Name: "result", Type: arrow.BinaryTypes.String},
	}, nil)
}

// factoryBatches hands on a factory's log in record batches.
func factoryBatches(b testing.TB, n int, write func(arrow.Record) error) {
	f := newFactory()
	rb := array.NewRecordBuilder(memory.DefaultAllocator, factorySchema())
	defer rb.Release()
	for i := range n {
		c := f.cast(i)
		rb.Field(0).(*array.Int64Builder).Append(int64(i + 1))
		rb.Field(1).(*array.Date32Builder).Append(arrow.Date32(c.date))
		rb.Field(2).(*array.Time32Builder).Append(arrow.Time32(c.minute * 60_000))
		rb.Field(3).(*array.StringBuilder).Append(c.mold)
		rb.Field(4).(*array.StringBuilder).Append(c.slip)
		rb.Field(5).(*array.Float64Builder).Append(c.dwell)
		rb.Field(6).(*array.Float64Builder).Append(float64(int(c.wall1*100+0.5)) / 100)
		rb.Field(7).(*array.Float64Builder).Append(float64(int(c.wall2*100+0.5)) / 100)
		rb.Field(8).(*array.StringBuilder).Append(c.result)
		if (i+1)%100_000 == 0 || i == n-1 {
			rec := rb.NewRecord()
			if err := write(rec); err != nil {
				b.Fatal(err)
			}
			rec.Release()
		}
	}
}

func writeFactory(b testing.TB, path string, n int) {
	if strings.HasSuffix(path, ".csv") {
		writeFactoryCSV(b, path, n)
		return
	}
	out, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	defer out.Close()
	if strings.HasSuffix(path, ".arrow") {
		w, err := ipc.NewFileWriter(out, ipc.WithSchema(factorySchema()))
		if err != nil {
			b.Fatal(err)
		}
		factoryBatches(b, n, w.Write)
		if err := w.Close(); err != nil {
			b.Fatal(err)
		}
		return
	}
	w, err := pqarrow.NewFileWriter(factorySchema(), out, parquet.NewWriterProperties(parquet.WithCompression(compress.Codecs.Snappy)), pqarrow.DefaultWriterProps())
	if err != nil {
		b.Fatal(err)
	}
	factoryBatches(b, n, w.Write)
	if err := w.Close(); err != nil {
		b.Fatal(err)
	}
}

// sizes are those of the benchmarks; MOLDWRIGHT_CASTS=10000000 sets another.
func sizes() []int {
	if n, err := strconv.Atoi(os.Getenv("MOLDWRIGHT_CASTS")); err == nil {
		return []int{n}
	}
	return []int{10_000, 100_000, 1_000_000}
}

// BenchmarkReadLarge reads a factory's log and builds its history. It reports the
// bytes of a cast that are held at the end, and the most memory of the process.
func BenchmarkReadLarge(b *testing.B) {
	for _, format := range []string{"csv", "parquet", "arrow"} {
		for _, n := range sizes() {
			b.Run(fmt.Sprintf("%s/casts=%d", format, n), func(b *testing.B) {
				path := filepath.Join(os.TempDir(), fmt.Sprintf("factory_%d.%s", n, format))
				if _, err := os.Stat(path); err != nil {
					writeFactory(b, path, n)
				}
				if os.Getenv("MOLDWRIGHT_CASTS") == "" {
					defer os.Remove(path)
				}
				runtime.GC()
				readLarge(b, path, n)
			})
		}
	}
}

func readLarge(b *testing.B, path string, n int) {
	sources, err := Find([]string{path})
	if err != nil {
		b.Fatal(err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	var res Result
	var log history.Log
	for b.Loop() {
		if res, err = Read(context.Background(), sources, Options{}); err != nil {
			b.Fatal(err)
		}
		log, _ = history.Build(res.Studio, tables.NoDate)
		if len(log.Casts) != n {
			b.Fatalf("%d casts; %v", len(log.Casts), codes(res.Problems[:min(5, len(res.Problems))]))
		}
	}
	b.StopTimer()
	runtime.GC()
	runtime.ReadMemStats(&after)
	b.ReportMetric((float64(after.HeapAlloc)-float64(before.HeapAlloc))/float64(n), "bytes/cast")
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/cast")
	b.ReportMetric(peakMiB(), "peak-MiB")
	runtime.KeepAlive(res)
	runtime.KeepAlive(log)
}

// peakMiB is the most memory that the process has taken, 0 where that is not told.
func peakMiB() float64 {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(status)) {
		if kb, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			n, _ := strconv.ParseFloat(strings.Fields(kb)[0], 64)
			return n / 1024
		}
	}
	return 0
}
