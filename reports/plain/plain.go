// Package plain writes every result as a plain table, once as CSV and once as
// Parquet, with the columns that package tables declares.
package plain

import (
	"cmp"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"sync"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/apache/arrow/go/v17/parquet"
	"github.com/apache/arrow/go/v17/parquet/compress"
	"github.com/apache/arrow/go/v17/parquet/pqarrow"

	"moldwright/pipeline"
	"moldwright/pipeline/tables"
)

// table is one result, whatever its row type. Its rows come in records of one
// schema, each of which its taker releases; there is one at least.
type table struct {
	name    string
	records iter.Seq[arrow.Record]
}

func of[R tables.Row](rows []R) table {
	name, _ := (*new(R)).TableName()
	return table{name, func(yield func(arrow.Record) bool) { yield(recordOf(rows)) }}
}

func recordOf[R tables.Row](rows []R) arrow.Record {
	f := tables.FrameOf(rows...)
	defer f.Release()
	return f.Record()
}

// streamRows is how many rows of a table that is not held are written at a time: a
// row group of the Parquet file.
const streamRows = 1 << 16

// stream is the table of rows that are worked out as they are written.
func stream[R tables.Row](rows iter.Seq[R]) table {
	name, _ := (*new(R)).TableName()
	return table{name, func(yield func(arrow.Record) bool) {
		batch := make([]R, 0, 1024)
		sent := 0
		for r := range rows {
			if len(batch) == streamRows {
				if !yield(recordOf(batch)) {
					return
				}
				batch, sent = batch[:0], sent+1
			}
			batch = append(batch, r)
		}
		if len(batch) > 0 || sent == 0 {
			yield(recordOf(batch))
		}
	}}
}

func all(res pipeline.Result) []table {
	all := []table{
		of(res.Wall.Terms), of(res.Wall.States), of(res.Wall.Guide), stream(res.Wall.AllUsed()),
		of(res.Life.Remaining), of(res.Life.Fits), of(res.Life.CauseRows), of(res.Watch.Molds), of(res.Hindcast.Rows),
		of(res.Plaster.Pours), of(res.Plaster.By), of(res.Plaster.Overmix), of(res.Plaster.Cuts), of(res.Plaster.Budget),
		of(res.Plaster.Balances), of(res.Plaster.Mixes), of(res.Plaster.Masses), of(res.Plaster.MoldCosts),
		of(res.Plaster.OvermixFor), of(res.Plaster.Replay), of(res.Plaster.WhatIf),
		of(res.Problems),
	}
	return append(all, planned(res)...)
}

// planned are the tables of the run plan.
func planned(res pipeline.Result) []table {
	return []table{of(res.Plan.Orders), of(res.Plan.Days), of(res.Plan.Mix), of(res.Plan.WhatIf), of(res.Plan.Assumed)}
}

// Write writes NAME.csv and NAME.parquet of every result into the folder,
// which must exist. A result without rows is written with its columns alone.
func Write(dir string, res pipeline.Result) error { return write(dir, all(res)) }

// WritePlan writes the tables of the run plan alone, and the problems.
func WritePlan(dir string, res pipeline.Result) error {
	return write(dir, append(planned(res), of(res.Problems)))
}

func write(dir string, all []table) error {
	for _, t := range all {
		if err := t.write(dir); err != nil {
			return err
		}
	}
	return nil
}

// write writes both files, side by side, record by record, while the next record is
// made.
func (t table) write(dir string) error {
	text, err := create(filepath.Join(dir, t.name+".csv"), func(w io.Writer) (writer, error) { return newCSV(w), nil })
	if err != nil {
		return err
	}
	defer text.close()
	var packed *diskFile
	defer func() { packed.close() }()
	var busy sync.WaitGroup
	defer busy.Wait()
	for rec := range t.records {
		if packed == nil {
			if packed, err = create(filepath.Join(dir, t.name+".parquet"), func(w io.Writer) (writer, error) { return newParquet(w, rec) }); err != nil {
				rec.Release()
				return err
			}
		}
		busy.Wait()
		if text.err != nil || packed.err != nil {
			rec.Release()
			break
		}
		rec.Retain()
		busy.Go(func() {
			defer rec.Release()
			text.take(rec)
		})
		busy.Go(func() {
			defer rec.Release()
			packed.take(rec)
		})
	}
	busy.Wait()
	return cmp.Or(text.close(), packed.close())
}

// writer takes a table record by record.
type writer interface {
	Write(rec arrow.Record) error
	Close() error
}

// diskFile is a table's file while it is written. It keeps the first error.
type diskFile struct {
	name string
	on   *os.File
	to   writer
	err  error
}

func create(path string, to func(io.Writer) (writer, error)) (*diskFile, error) {
	f, err := os.Create(path)
	if err != nil {
		return nil, fmt.Errorf("write table: %w", err)
	}
	w, err := to(f)
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("write table %s: %w", filepath.Base(path), err)
	}
	return &diskFile{name: filepath.Base(path), on: f, to: w}, nil
}

func (f *diskFile) take(rec arrow.Record) {
	if err := f.to.Write(rec); err != nil {
		f.err = fmt.Errorf("write table %s: %w", f.name, err)
	}
}

// close may be called again, and on no file.
func (f *diskFile) close() error {
	if f == nil || f.on == nil {
		return nil
	}
	if f.err == nil {
		if err := f.to.Close(); err != nil {
			f.err = fmt.Errorf("write table %s: %w", f.name, err)
		}
	}
	if err := f.on.Close(); err != nil && f.err == nil {
		f.err = err
	}
	f.on = nil
	return f.err
}

// Problems writes the problems table as CSV.
func Problems(w io.Writer, problems []tables.Problem) error {
	rec := recordOf(problems)
	defer rec.Release()
	return CSV(w, rec)
}

// Parquet writes a record as one Parquet file, compressed by Snappy: Arrow makes a
// Zstandard compressor anew for each page, which took a quarter of the time of a large
// file and two fifths of the memory.
func Parquet(w io.Writer, rec arrow.Record) error {
	p, err := newParquet(w, rec)
	if err != nil {
		return err
	}
	if err := p.Write(rec); err != nil {
		return err
	}
	return p.Close()
}

// scattered reports whether a column holds numbers of which hardly two are equal:
// a dictionary of them costs time and saves nothing, and compressing their digits
// next to nothing.
func scattered(a arrow.Array) bool {
	numbers, ok := a.(*array.Float64)
	if !ok {
		return false
	}
	const looked = 1000
	seen := map[float64]bool{}
	for i := range min(looked, numbers.Len()) {
		seen[numbers.Value(i)] = true
	}
	return len(seen) > looked/2
}

// parquetFile takes records as row groups. The library panics where the first
// bytes cannot be written, as on a full disk.
type parquetFile struct {
	sink *firstError
	out  *pqarrow.FileWriter
}

// newParquet is the file of records like the first.
func newParquet(w io.Writer, first arrow.Record) (p *parquetFile, err error) {
	p = &parquetFile{sink: &firstError{Writer: w}}
	defer p.caught(&err)
	set := []parquet.WriterProperty{parquet.WithCompression(compress.Codecs.Snappy), parquet.WithCreatedBy("moldwright")}
	for j, f := range first.Schema().Fields() {
		if scattered(first.Column(j)) {
			set = append(set, parquet.WithDictionaryFor(f.Name, false), parquet.WithCompressionFor(f.Name, compress.Codecs.Uncompressed))
		}
	}
	props := parquet.NewWriterProperties(set...)
	p.out, err = pqarrow.NewFileWriter(first.Schema(), p.sink, props, pqarrow.NewArrowWriterProperties(pqarrow.WithAllocator(memory.DefaultAllocator)))
	return p, err
}

func (p *parquetFile) Write(rec arrow.Record) (err error) {
	defer p.caught(&err)
	return p.out.Write(rec)
}

func (p *parquetFile) Close() (err error) {
	defer p.caught(&err)
	return p.out.Close()
}

// caught turns a panic over bytes that could not be written into their error.
func (p *parquetFile) caught(err *error) {
	if p.sink.err != nil {
		recover()
		*err = p.sink.err
	}
}

// firstError keeps the first error of writing. It also hides Close from the
// Parquet writer, which would close the file it did not open.
type firstError struct {
	io.Writer
	err error
}

func (f *firstError) Write(p []byte) (int, error) {
	n, err := f.Writer.Write(p)
	if f.err == nil {
		f.err = err
	}
	return n, err
}
