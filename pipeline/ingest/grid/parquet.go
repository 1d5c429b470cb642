package grid

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/parquet"
	"github.com/apache/arrow/go/v17/parquet/file"
	"github.com/apache/arrow/go/v17/parquet/pqarrow"
)

// batchRows is how many rows of a column are decoded in one go.
const batchRows = 1 << 16

// parquet reads a Parquet file column by column, on all cores.
func (c *columnar) parquet() error {
	if err := c.checkFooter(); err != nil {
		return err
	}
	props := parquet.NewReaderProperties(c.mem)
	props.BufferedStreamEnabled, props.BufferSize = true, 1<<18
	rd, err := file.NewParquetReader(io.NewSectionReader(c.in, 0, c.size), file.WithReadProps(props))
	if err != nil {
		return c.parquetFailed(err)
	}
	meta := rd.MetaData()
	if err := c.claim(rd.NumRows(), meta.Schema.NumColumns()); err != nil {
		return err
	}
	read := pqarrow.ArrowReadProperties{BatchSize: batchRows}
	for i := range meta.Schema.NumColumns() {
		// Names come once a page that way, and not once a row.
		col := meta.Schema.Column(i)
		if col.PhysicalType() == parquet.Types.ByteArray && col.MaxRepetitionLevel() == 0 && len(col.ColumnPath()) == 1 {
			read.SetReadDict(i, true)
		}
	}
	fr, err := pqarrow.NewFileReader(rd, read, c.mem)
	if err != nil {
		return c.parquetFailed(err)
	}
	schema, err := fr.Schema()
	if err != nil {
		return c.parquetFailed(err)
	}
	fillers := c.columnsOf(schema.Fields())
	rows := int(rd.NumRows())
	err = inParallel(len(fillers), func(k int) error {
		if fillers[k].refused() {
			return nil
		}
		return c.parquetColumn(fr, k, fillers[k], rows)
	})
	if err != nil {
		return c.parquetFailed(err)
	}
	return c.gather(fillers, rows)
}

func (c *columnar) parquetColumn(fr *pqarrow.FileReader, k int, f *filler, rows int) error {
	rd, err := fr.GetColumn(c.ctx, k)
	if err != nil {
		return err
	}
	if rd == nil {
		return damagedFile
	}
	defer rd.Release()
	for f.row <= rows {
		if err := c.ctx.Err(); err != nil {
			return err
		}
		batch, err := rd.NextBatch(batchRows)
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		if batch == nil || batch.Len() == 0 {
			break
		}
		for _, piece := range batch.Chunks() {
			if f.row+piece.Len() > rows+1 {
				return damagedFile
			}
			if err := f.add(piece); err != nil {
				return err
			}
		}
	}
	if f.row != rows+1 {
		return damagedFile
	}
	return nil
}

// checkFooter looks at the last bytes of the file before anyone believes them.
func (c *columnar) checkFooter() error {
	var head, tail [8]byte
	if c.size < 12 {
		return told("the file is too short to be a Parquet file")
	}
	if _, err := c.in.ReadAt(head[:4], 0); err != nil {
		return err
	}
	if _, err := c.in.ReadAt(tail[:], c.size-8); err != nil {
		return err
	}
	switch footer := int64(binary.LittleEndian.Uint32(tail[:4])); {
	case bytes.Equal(tail[4:], []byte("PARE")) || bytes.Equal(head[:4], []byte("PARE")):
		return encryptedFile
	case !bytes.Equal(head[:4], []byte("PAR1")):
		return told("this is not a Parquet file, whatever its name says")
	case !bytes.Equal(tail[4:], []byte("PAR1")) || footer > c.size-12:
		return damagedFile
	case footer > MaxFooter:
		return told(fmt.Sprintf("the file's description of itself is larger than %d MiB", MaxFooter>>20))
	}
	return nil
}

const encryptedFile = told("the file is encrypted, and no key can be given")

// parquetFailed says what a failure of Arrow's reader means.
func (c *columnar) parquetFailed(err error) error {
	var t told
	if errors.As(err, &t) {
		return err
	}
	text := strings.ToLower(err.Error())
	switch {
	case strings.Contains(text, "crypt"):
		return encryptedFile
	case strings.Contains(text, "codec") || strings.Contains(text, "compression"):
		return told("the file is compressed in a way that is not read")
	}
	return fmt.Errorf("%w: %w", damagedFile, err)
}

// supported reports whether a column of that type can be read.
func supported(t arrow.DataType) bool {
	switch t := t.(type) {
	case *arrow.DictionaryType:
		return supported(t.ValueType) && !isList(t.ValueType)
	case arrow.ListLikeType:
		return t.ID() != arrow.MAP && !isList(t.Elem()) && numeric(t.Elem())
	case *arrow.StringType, *arrow.LargeStringType, *arrow.StringViewType, *arrow.NullType, *arrow.BooleanType,
		*arrow.Date32Type, *arrow.Date64Type, *arrow.TimestampType, *arrow.Time32Type, *arrow.Time64Type, *arrow.DurationType:
		return true
	}
	return numeric(t)
}

func isList(t arrow.DataType) bool {
	_, list := t.(arrow.ListLikeType)
	return list
}

func numeric(t arrow.DataType) bool {
	return arrow.IsInteger(t.ID()) || arrow.IsFloating(t.ID()) || arrow.IsDecimal(t.ID())
}
