package grid

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/memory"
)

// Limits of files of typed columns, beside MaxColumns and MaxLines.
const (
	MaxFooter    = 64 << 20 // bytes of a Parquet file's description of itself
	MaxDecoded   = 2 << 30  // bytes that are held decoded at one time; an Arrow file is held by its record batches
	MaxReadings  = 64       // readings in one cell
	plentyCells  = 2 << 30  // cells of a small file: beyond, it must have a byte for every …
	cellsPerByte = 64       // … so many cells
)

// IsColumnar reports whether a file of that name holds typed columns.
func IsColumnar(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".parquet", ".arrow", ".feather", ".ipc":
		return true
	}
	return false
}

// ReadColumnar reads a Parquet file or an Arrow file (IPC, as a file or as a
// stream) in batches. What the bytes can cause is in the book; the error is for
// a cancelled context. Arrow's readers panic on some damaged files: all of them
// run below a border where that becomes a message.
func ReadColumnar(ctx context.Context, name string, in io.ReaderAt, size int64) (b Book, err error) {
	c := &columnar{ctx: ctx, in: in, size: size, mem: &bounded{under: memory.NewGoAllocator(), most: MaxDecoded}, sheet: &Sheet{Headed: true}}
	fail := guarded(func() error {
		if strings.EqualFold(filepath.Ext(name), ".parquet") {
			return c.parquet()
		}
		return c.arrow()
	})
	switch {
	case ctx.Err() != nil:
		return Book{}, ctx.Err()
	case fail != nil:
		return unreadable(plainly(fail)), nil
	}
	c.sheet.LeftOut = c.leftOut
	return Book{Sheets: []*Sheet{c.sheet}}, nil
}

// columnar is the reading of one such file.
type columnar struct {
	ctx     context.Context
	in      io.ReaderAt
	size    int64
	mem     *bounded
	sheet   *Sheet
	leftOut []string
}

// told is a failure in words for the user.
type told string

func (t told) Error() string { return string(t) }

const damagedFile = told("the file is damaged or incomplete")

// plainly is what to tell of a failure.
func plainly(err error) string {
	var t told
	if errors.As(err, &t) {
		return string(t)
	}
	return string(damagedFile)
}

// guarded turns a panic into an error. Only readers of Arrow and what fills
// columns run below it.
func guarded(f func() error) (err error) {
	defer func() {
		switch p := recover().(type) {
		case nil:
		case told:
			err = p
		case error:
			err = fmt.Errorf("%w: %v", damagedFile, p)
		default:
			err = fmt.Errorf("%w: %v", damagedFile, p)
		}
	}()
	return f()
}

// inParallel runs do for each item on all cores, each guarded.
func inParallel(n int, do func(k int) error) error {
	errs := make([]error, n)
	next := make(chan int)
	var wait sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for k := range next {
				errs[k] = guarded(func() error { return do(k) })
			}
		})
	}
	for k := range n {
		next <- k
	}
	close(next)
	wait.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// claim checks what a file says of its size before anything is made of it.
func (c *columnar) claim(rows int64, columns int) error {
	switch {
	case rows < 0 || columns < 0:
		return damagedFile
	case columns > MaxColumns:
		return told(fmt.Sprintf("the file has more than %d columns", MaxColumns))
	case rows >= MaxLines:
		return told(fmt.Sprintf("the file has more than %d rows", MaxLines))
	case float64(rows)*float64(columns) > math.Max(plentyCells, cellsPerByte*float64(c.size)):
		return told("the file claims to hold far more cells than its bytes can tell: it is damaged, or was made to take up memory")
	}
	return nil
}

// columnsOf makes the columns of the sheet for the fields that can be read.
func (c *columnar) columnsOf(fields []arrow.Field) []*filler {
	out := make([]*filler, len(fields))
	for i, f := range fields {
		out[i] = newFiller(f)
		if out[i].refused() {
			c.leftOut = append(c.leftOut, f.Name)
		}
	}
	return out
}

// gather puts the columns that were filled beside each other.
func (c *columnar) gather(fillers []*filler, rows int) error {
	s := c.sheet
	s.rows = rows + 1
	for _, f := range fillers {
		for _, col := range f.columns {
			s.columns = append(s.columns, col)
			s.heads = append(s.heads, strings.ToValidUTF8(strings.TrimSpace(f.name), "�"))
			s.units = append(s.units, strings.ToValidUTF8(f.unit, ""))
			s.weight += col.weight
			s.filled += col.filled
		}
		if f.cut > 0 {
			s.ReadingsBeyond += f.cut
		}
	}
	if len(s.columns) > MaxColumns {
		return told(fmt.Sprintf("the file has more than %d columns", MaxColumns))
	}
	return nil
}

// bounded is an allocator that gives no more than so much at one time: what a
// damaged file says of its sizes is not to be believed.
type bounded struct {
	under memory.Allocator
	most  int
	lock  sync.Mutex
	held  int
}

func (b *bounded) take(n int) {
	b.lock.Lock()
	defer b.lock.Unlock()
	if n < 0 || b.held > b.most-n {
		panic(told("the file is damaged, or holds more in one piece than is read (2 GiB)"))
	}
	b.held += n
}

func (b *bounded) give(n int) {
	b.lock.Lock()
	defer b.lock.Unlock()
	b.held -= n
}

func (b *bounded) Allocate(size int) []byte {
	b.take(size)
	return b.under.Allocate(size)
}

func (b *bounded) Reallocate(size int, of []byte) []byte {
	b.take(size)
	b.give(len(of))
	return b.under.Reallocate(size, of)
}

func (b *bounded) Free(of []byte) {
	b.give(len(of))
	b.under.Free(of)
}
