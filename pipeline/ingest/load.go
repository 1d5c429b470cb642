package ingest

import (
	"errors"
	"io"
	"io/fs"
	"os"

	"moldwright/pipeline/ingest/grid"
)

// attempts is how often a file is read that changes meanwhile: a program that
// saves it is done in a moment.
const attempts = 3

// load reads the bytes of a file, or says why not.
func load(src Source) (data []byte, why string) {
	if src.refusal != "" {
		return nil, src.refusal
	}
	return loadFrom(func() (fs.File, error) { return os.Open(src.Path) }, func() (fs.FileInfo, error) { return os.Stat(src.Path) })
}

// loadFrom reads a file that others may change, replace or remove meanwhile: what
// it gives is the whole of what the file held at one time.
func loadFrom(open func() (fs.File, error), look func() (fs.FileInfo, error)) (data []byte, why string) {
	for range attempts {
		before, err := look() // first, because opening a pipe may never end
		switch {
		case err != nil:
			return nil, "the file cannot be opened: " + plain(err)
		case !before.Mode().IsRegular():
			return nil, "this is not a regular file"
		case before.Size() == 0:
			return nil, "the file is empty: it has 0 bytes"
		case before.Size() > grid.MaxFileBytes:
			return nil, "the file is larger than 1 GiB"
		}
		if data, err = readWhole(open, before.Size()); err != nil {
			return nil, "the file cannot be opened: " + plain(err)
		}
		after, err := look()
		if errors.Is(err, fs.ErrNotExist) {
			return nil, "the file was removed while it was read"
		}
		if err == nil && after.Size() == before.Size() && after.ModTime().Equal(before.ModTime()) && int64(len(data)) == before.Size() {
			return data, ""
		}
	}
	return nil, "the file was changed while it was read"
}

// readWhole reads a file of that size and a byte more, which tells that it grew.
func readWhole(open func() (fs.File, error), size int64) ([]byte, error) {
	f, err := open()
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data := make([]byte, size+1)
	n, err := io.ReadFull(f, data)
	if err == nil || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		return data[:n], nil
	}
	return nil, err
}
