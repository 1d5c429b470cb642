package workbook

import (
	"archive/zip"
	"bytes"
	"cmp"
	"compress/flate"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"path"
	"slices"
	"sync"

	"moldwright/reports/internal/cores"
)

const contentsPart = "[Content_Types].xml"

// collected takes the parts of a workbook from the library in place of a zip writer.
type collected struct{ parts []*part }

type part struct {
	name    string
	content []byte
}

// Create begins a part.
func (c *collected) Create(name string) (io.Writer, error) {
	p := &part{name: name}
	c.parts = append(c.parts, p)
	return p, nil
}

func (p *part) Write(data []byte) (int, error) {
	p.content = append(p.content, data...)
	return len(data), nil
}

// AddFS is part of the library's interface and not used by it.
func (c *collected) AddFS(fs.FS) error {
	return fmt.Errorf("workbook: adding a file system to the workbook is not supported")
}

// Close is part of the library's interface.
func (c *collected) Close() error { return nil }

// find is the part of a name, or nil.
func (c *collected) find(name string) *part {
	for _, p := range c.parts {
		if p.name == name {
			return p
		}
	}
	return nil
}

// insert puts more into a part before its end.
func (c *collected) insert(name string, more []byte, end string) error {
	p := c.find(name)
	if p == nil {
		return fmt.Errorf("the workbook library no longer writes %s", name)
	}
	before, found := bytes.CutSuffix(bytes.TrimSpace(p.content), []byte(end))
	if !found {
		return fmt.Errorf("the workbook library no longer ends %s with %s", name, end)
	}
	p.content = slices.Concat(before, more, []byte(end))
	return nil
}

// write writes the parts, packed on all cores: the list of contents first, as readers
// that look at the beginning of a file expect, then the others by name. The library
// hands them over in the order of a map, so that without this the bytes of two equal
// workbooks would differ.
func (c *collected) write(to io.Writer) error {
	slices.SortFunc(c.parts, func(a, b *part) int {
		if (a.name == contentsPart) != (b.name == contentsPart) {
			if a.name == contentsPart {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.name, b.name)
	})
	longest := slices.Clone(c.parts) // first, so that no core is left with it in the end
	slices.SortStableFunc(longest, func(a, b *part) int { return cmp.Compare(len(b.content), len(a.content)) })
	packed, errs := map[*part]*packedPart{}, make([]error, len(longest))
	for _, p := range longest {
		packed[p] = &packedPart{}
	}
	packers := sync.Pool{New: func() any { return newPacker() }}
	cores.Each(len(longest), func(i int) {
		packer := packers.Get().(*flate.Writer)
		defer packers.Put(packer)
		errs[i] = packed[longest[i]].pack(longest[i], packer)
	})
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	zw := zip.NewWriter(to)
	for _, p := range c.parts {
		w, err := zw.CreateRaw(&packed[p].header)
		if err != nil {
			return err
		}
		if _, err := w.Write(packed[p].content); err != nil {
			return err
		}
	}
	return zw.Close()
}

// packedPart is a part as it goes into the file.
type packedPart struct {
	header  zip.FileHeader
	content []byte
}

func newPacker() *flate.Writer {
	w, err := flate.NewWriter(nil, packLevel)
	if err != nil {
		panic(err) // of a level that there is none
	}
	return w
}

// packLevel is the quickest: of 100,000 casts it makes a workbook of 3.5 MB, where the
// middle level makes one of 3.2 MB.
const packLevel = flate.BestSpeed

// pack packs a part, all but pictures, which are packed already.
func (z *packedPart) pack(p *part, packer *flate.Writer) error {
	z.header = zip.FileHeader{
		Name: p.name, Method: zip.Deflate, UncompressedSize64: uint64(len(p.content)), CRC32: crc32.ChecksumIEEE(p.content),
	}
	if path.Ext(p.name) == ".png" {
		z.header.Method, z.header.CompressedSize64, z.content = zip.Store, z.header.UncompressedSize64, p.content
		return nil
	}
	var out bytes.Buffer
	packer.Reset(&out)
	if _, err := packer.Write(p.content); err != nil {
		return err
	}
	if err := packer.Close(); err != nil {
		return err
	}
	z.header.CompressedSize64, z.content = uint64(out.Len()), out.Bytes()
	return nil
}
