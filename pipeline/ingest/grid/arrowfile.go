package grid

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/ipc"
)

// arrow reads an Arrow file by its record batches; the columns of each are
// filled on all cores.
func (c *columnar) arrow() error {
	var head [6]byte
	if c.size < 8 {
		return told("the file is too short to be an Arrow file")
	}
	if _, err := c.in.ReadAt(head[:], 0); err != nil {
		return err
	}
	switch {
	case bytes.HasPrefix(head[:], []byte("FEA1")):
		return told("the file is of the first version of Feather, which is not read any more")
	case bytes.HasPrefix(head[:], []byte("PAR1")):
		return told("this is a Parquet file under the name of an Arrow file")
	case bytes.Equal(head[:], []byte("ARROW1")):
		// A file is a stream behind its mark, with a table of contents that is not
		// needed, its length and the mark again.
		var tail [10]byte
		if _, err := c.in.ReadAt(tail[:], max(0, c.size-10)); err != nil && err != io.EOF {
			return err
		}
		end := c.size - 10 - int64(binary.LittleEndian.Uint32(tail[:]))
		if !bytes.Equal(tail[4:], []byte("ARROW1")) || end < 8 {
			return damagedFile
		}
		return c.arrowStream(8, end)
	}
	return c.arrowStream(0, c.size)
}

func (c *columnar) arrowStream(from, to int64) error {
	rd, err := ipc.NewReaderFromMessageReader(&messages{in: c.in, at: from, size: to, mem: c.mem, refs: 1}, ipc.WithAllocator(c.mem))
	if err != nil {
		if from > 0 {
			return damagedFile
		}
		return told("this is not an Arrow file, whatever its name says, or it is damaged")
	}
	defer rd.Release()
	fillers, err := c.begin(rd.Schema())
	if err != nil {
		return err
	}
	rows := int64(0)
	for rd.Next() {
		if rows, err = c.record(fillers, rd.Record(), rows); err != nil {
			return err
		}
	}
	if err := rd.Err(); err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	return c.gather(fillers, int(rows))
}

func (c *columnar) begin(schema *arrow.Schema) ([]*filler, error) {
	if err := c.claim(0, len(schema.Fields())); err != nil {
		return nil, err
	}
	return c.columnsOf(schema.Fields()), nil
}

// record takes over a record batch.
func (c *columnar) record(fillers []*filler, rec arrow.Record, rows int64) (int64, error) {
	if err := c.ctx.Err(); err != nil {
		return rows, err
	}
	rows += rec.NumRows()
	if err := c.claim(rows, len(fillers)); err != nil {
		return rows, err
	}
	if int(rec.NumCols()) != len(fillers) {
		return rows, damagedFile
	}
	return rows, inParallel(len(fillers), func(k int) error {
		switch col := rec.Column(k); {
		case fillers[k].refused():
			return nil
		case int64(col.Len()) != rec.NumRows():
			return damagedFile
		default:
			return fillers[k].add(col)
		}
	})
}
