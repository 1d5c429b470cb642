package ingest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// source reads one file.
func (r *reader) source(ctx context.Context, src Source) error {
	file := len(r.problems.files)
	r.problems.files = append(r.problems.files, File{Name: src.Name, Path: src.Path})
	if src.formerRun {
		r.problems.files[file].Skipped = "a folder of results of an earlier run"
		r.tell(file, CodeFormerRun, tables.Notice, "this folder holds the results of an earlier run, and is not read as a log", "keep logs and results in different folders")
		return nil
	}
	if src.refusal != "" {
		r.refuse(file, src.refusal)
		return nil
	}
	if grid.IsColumnar(src.Path) {
		return r.streamed(ctx, file, src, func(f io.ReaderAt, size int64) (grid.Book, error) {
			return grid.ReadColumnar(ctx, src.Path, f, size)
		})
	}
	if isText(src.Path) && sizeOf(src.Path) >= r.streamFrom() {
		return r.streamed(ctx, file, src, func(f io.ReaderAt, size int64) (grid.Book, error) {
			return grid.StreamCSV(ctx, src.Path, f, size, columnsKnown)
		})
	}
	c := r.ahead.contents(ctx, r.turn)
	if c.why != "" {
		r.refuse(file, c.why)
		return nil
	}
	if c.err != nil {
		return c.err
	}
	return r.opened(ctx, file, c.book, c.hash[:], c.size)
}

func isText(path string) bool {
	ext := strings.ToLower(filepath.Ext(path))
	return ext == ".csv" || ext == ".tsv"
}

// sizeOf is the size of a file, 0 where that cannot be told.
func sizeOf(path string) int64 {
	info, err := os.Stat(path)
	if err != nil || !info.Mode().IsRegular() {
		return 0
	}
	return info.Size()
}

func (r *reader) streamFrom() int64 {
	if r.opt.streamFrom > 0 {
		return r.opt.streamFrom
	}
	return grid.StreamFrom
}

// opened goes on with a file that was read into sheets.
func (r *reader) opened(ctx context.Context, file int, b grid.Book, hash []byte, size int64) error {
	f := &r.problems.files[file]
	f.SHA256, f.Bytes = hex.EncodeToString(hash), size
	if first, seen := r.byHash[f.SHA256]; seen {
		f.Skipped = "the same as " + first
		r.tell(file, CodeDuplicateFile, tables.Notice, fmt.Sprintf("the file is byte for byte the same as %s and was read only once", first), "remove one of them")
		return nil
	}
	r.byHash[f.SHA256] = f.Name
	if b.Unreadable != "" {
		r.refuse(file, b.Unreadable)
		return nil
	}
	if b.Encoding != "" {
		r.tell(file, CodeEncodingInferred, tables.Notice, fmt.Sprintf("the file does not say how its letters are written; %s was assumed", b.Encoding), "look at names with accents; to be sure, save the file as CSV UTF-8")
	}
	return r.book(ctx, file, b)
}

// streamed reads a file that is never held as a whole. It is looked at before and
// afterwards, by its size and time, and its bytes are summed up along the way: one
// that others changed meanwhile is not used.
func (r *reader) streamed(ctx context.Context, file int, src Source, read func(f io.ReaderAt, size int64) (grid.Book, error)) error {
	before, err := os.Stat(src.Path) // first, because opening a pipe may never end
	switch {
	case err != nil:
		r.refuse(file, "the file cannot be opened: "+plain(err))
		return nil
	case !before.Mode().IsRegular():
		r.refuse(file, "this is not a regular file")
		return nil
	case before.Size() == 0:
		r.refuse(file, "the file is empty: it has 0 bytes")
		return nil
	}
	f, err := os.Open(src.Path)
	if err != nil {
		r.refuse(file, "the file cannot be opened: "+plain(err))
		return nil
	}
	defer f.Close()
	sum := make(chan []byte, 1)
	hashing, stop := context.WithCancel(ctx)
	defer stop()
	go func() {
		h := sha256.New()
		if n, err := io.Copy(h, inContext{hashing, io.NewSectionReader(f, 0, before.Size())}); err != nil || n != before.Size() {
			sum <- nil
			return
		}
		sum <- h.Sum(nil)
	}()
	b, err := read(f, before.Size())
	if err != nil || b.Unreadable != "" {
		stop()
	}
	hash := <-sum
	if err != nil {
		return err
	}
	if b.Unreadable != "" {
		r.refuse(file, b.Unreadable)
		return nil
	}
	after, err := os.Stat(src.Path)
	if err != nil || hash == nil || after.Size() != before.Size() || !after.ModTime().Equal(before.ModTime()) {
		r.refuse(file, "the file was changed while it was read")
		return nil
	}
	return r.opened(ctx, file, b, hash, before.Size())
}

// inContext is a reader that stops when a context is cancelled.
type inContext struct {
	ctx context.Context
	io.Reader
}

func (r inContext) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.Read(p)
}
