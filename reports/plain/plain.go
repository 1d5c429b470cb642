// Package plain writes every result as a plain table, once as CSV and once as
// Parquet, with the columns that package tables declares.
package plain

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/apache/arrow/go/v17/parquet"
	"github.com/apache/arrow/go/v17/parquet/compress"
	"github.com/apache/arrow/go/v17/parquet/pqarrow"

	"moldwright/pipeline"
	"moldwright/pipeline/tables"
)

// table is one result, whatever its row type.
type table struct {
	name string
	rec  arrow.Record
}

func of[R tables.Row](rows []R) table {
	name, _ := (*new(R)).TableName()
	f := tables.FrameOf(rows...)
	defer f.Release()
	return table{name, f.Record()}
}

func all(res pipeline.Result) []table {
	all := []table{
		of(res.Wall.Terms), of(res.Wall.States), of(res.Wall.Guide), of(res.Wall.Used),
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
		defer t.rec.Release()
		if err := writeFile(filepath.Join(dir, t.name+".csv"), t.rec, CSV); err != nil {
			return err
		}
		if err := writeFile(filepath.Join(dir, t.name+".parquet"), t.rec, Parquet); err != nil {
			return err
		}
	}
	return nil
}

func writeFile(path string, rec arrow.Record, write func(io.Writer, arrow.Record) error) (err error) {
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("write table: %w", err)
	}
	defer func() {
		if cerr := f.Close(); err == nil {
			err = cerr
		}
	}()
	if err := write(f, rec); err != nil {
		return fmt.Errorf("write table %s: %w", filepath.Base(path), err)
	}
	return nil
}

// Problems writes the problems table as CSV.
func Problems(w io.Writer, problems []tables.Problem) error {
	t := of(problems)
	defer t.rec.Release()
	return CSV(w, t.rec)
}

// CSV writes a record as RFC 4180 CSV with a header line and LF line ends; nulls are
// empty cells. Numbers are written in full, so that reading them back is exact.
func CSV(w io.Writer, rec arrow.Record) error {
	out := csv.NewWriter(w)
	row := make([]string, rec.NumCols())
	for j, f := range rec.Schema().Fields() {
		row[j] = f.Name
	}
	if err := out.Write(row); err != nil {
		return err
	}
	for i := range int(rec.NumRows()) {
		for j := range row {
			row[j] = cell(rec.Column(j), i)
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// cell writes element i. Text that a spreadsheet program would take for a
// formula gets an apostrophe in front, the mark by which such programs know text.
func cell(a arrow.Array, i int) string {
	if a.IsNull(i) {
		return ""
	}
	s, ok := a.(*array.String)
	if !ok {
		return a.ValueStr(i)
	}
	text := s.Value(i)
	if text != "" {
		switch text[0] {
		case '=', '+', '-', '@', '\t', '\r':
			return "'" + text
		}
	}
	return text
}

// largeRows is from how many rows on a table is worth the better compressor. Setting
// one up costs more than a millisecond a column, which is most of the time that the
// tables of a studio take.
const largeRows = 20_000

// Parquet writes a record as one Parquet file, compressed by Snappy, or by Zstandard
// where it is large.
func Parquet(w io.Writer, rec arrow.Record) (err error) {
	// The library panics where the first bytes cannot be written, as on a full disk.
	sink := &firstError{Writer: w}
	defer func() {
		if sink.err != nil {
			recover()
			err = sink.err
		}
	}()
	codec := compress.Codecs.Snappy
	if rec.NumRows() >= largeRows {
		codec = compress.Codecs.Zstd
	}
	props := parquet.NewWriterProperties(parquet.WithCompression(codec), parquet.WithCreatedBy("moldwright"))
	out, err := pqarrow.NewFileWriter(rec.Schema(), sink, props, pqarrow.NewArrowWriterProperties(pqarrow.WithAllocator(memory.DefaultAllocator)))
	if err != nil {
		return err
	}
	if err := out.Write(rec); err != nil {
		return err
	}
	return out.Close()
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
