package workbook

import (
	"archive/zip"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
)

// orderedZip is a zip writer that keeps the parts until Close and then writes
// them in a fixed order. The library hands over streamed sheets in the order of
// a map, so that without this the bytes of two equal workbooks would differ.
type orderedZip struct {
	out   io.Writer
	mend  map[string]func([]byte) []byte // changes to parts, by name
	parts []*part
}

type part struct {
	name string
	data bytes.Buffer
}

func newOrderedZip(w io.Writer, mend map[string]func([]byte) []byte) *orderedZip {
	return &orderedZip{out: w, mend: mend}
}

// Create begins a part.
func (z *orderedZip) Create(name string) (io.Writer, error) {
	p := &part{name: name}
	z.parts = append(z.parts, p)
	return &p.data, nil
}

// AddFS is part of the library's interface and not used by it.
func (z *orderedZip) AddFS(fs.FS) error {
	return fmt.Errorf("workbook: adding a file system to the workbook is not supported")
}

// Close writes the parts: the list of contents first, as readers that look at
// the beginning of a file expect, then the others by name.
func (z *orderedZip) Close() error {
	const contents = "[Content_Types].xml"
	slices.SortStableFunc(z.parts, func(a, b *part) int {
		if (a.name == contents) != (b.name == contents) {
			if a.name == contents {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.name, b.name)
	})
	zw := zip.NewWriter(z.out)
	for _, p := range z.parts {
		w, err := zw.CreateHeader(&zip.FileHeader{Name: p.name, Method: methodFor(p.name)})
		if err != nil {
			return err
		}
		data := p.data.Bytes()
		if mend := z.mend[p.name]; mend != nil {
			data = mend(data)
		}
		if _, err := w.Write(data); err != nil {
			return err
		}
	}
	return zw.Close()
}

// methodFor stores pictures as they are, since they are compressed already.
func methodFor(part string) uint16 {
	if path.Ext(part) == ".png" {
		return zip.Store
	}
	return zip.Deflate
}
