package grid

import (
	"archive/zip"
	"bytes"
	"context"
	"io"
	"path"
	"strings"
)

// A workbook is a zip archive of XML parts. Before it is opened, every part is
// unpacked once into nothing and counted, because what an archive says of itself
// may be a lie: a few kilobytes can claim little and unpack to gigabytes.
//
// The limits leave room for the largest honest workbooks: a full sheet of
// 1,048,576 rows and some ten columns unpacks to about half a gigabyte, by some
// 10 to 25 times; its elements stand within each other a dozen deep.
const (
	maxParts    = 10_000     // parts of a workbook
	maxUnpacked = unzipLimit // bytes of all parts together
	maxOther    = 16 << 20   // bytes of a part that is neither a sheet, its texts nor a picture
	freeOfRatio = 4 << 20    // bytes up to which a part may unpack by any ratio
	maxRatio    = 100        // times that a larger part may unpack
	maxNesting  = 256        // elements within each other
)

// unpackable says why a workbook must not be unpacked, "" where it may. Only a
// cancelled context is an error.
func unpackable(ctx context.Context, data []byte) (why string, err error) {
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return "", nil // told by the one who opens it
	}
	if len(archive.File) > maxParts {
		return "the workbook has more than 10,000 parts, which no spreadsheet program writes", nil
	}
	var total uint64
	for _, part := range archive.File {
		if total += part.UncompressedSize64; total > maxUnpacked || part.UncompressedSize64 > maxUnpacked {
			return "the workbook is larger than 1 GiB when unpacked", nil
		}
		if why := tooLarge(part.Name, int64(part.UncompressedSize64), part.CompressedSize64); why != "" {
			return why, nil
		}
	}
	for _, part := range archive.File {
		why, err := tryPart(ctx, part)
		if why != "" || err != nil {
			return why, err
		}
	}
	return "", nil
}

// tooLarge judges a part by its sizes.
func tooLarge(name string, size int64, packed uint64) string {
	folder := path.Dir(strings.ToLower(name))
	large := strings.HasSuffix(folder, "worksheets") || strings.HasSuffix(folder, "media") || strings.HasSuffix(strings.ToLower(name), "sharedstrings.xml")
	switch {
	case size > freeOfRatio && uint64(size) > maxRatio*(packed+1):
		return "a part of the workbook unpacks to more than 100 times its size, as no log does"
	case size > maxOther && !large:
		return "a part of the workbook (" + path.Base(name) + ") is larger than any spreadsheet program writes it"
	}
	return ""
}

// tryPart unpacks a part into nothing. It must be as long as it says, and its
// elements must not stand too deep within each other.
func tryPart(ctx context.Context, part *zip.File) (why string, err error) {
	r, err := part.Open()
	if err != nil {
		return "the workbook is damaged", nil
	}
	defer r.Close()
	var count nesting
	isXML := strings.HasSuffix(strings.ToLower(part.Name), ".xml") || strings.HasSuffix(strings.ToLower(part.Name), ".rels")
	buf := make([]byte, 64<<10)
	var size uint64
	for {
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		n, err := r.Read(buf)
		if size += uint64(n); size > part.UncompressedSize64 {
			return "the workbook is damaged: a part of it is longer than it says", nil
		}
		if isXML {
			if count.add(buf[:n]); count.deepest > maxNesting {
				return "the workbook holds elements within each other deeper than any spreadsheet program writes them", nil
			}
		}
		if err == io.EOF {
			return "", nil
		}
		if err != nil {
			return "the workbook is damaged or was cut short, as after an interrupted copy or download", nil
		}
	}
}

// nesting counts how deep the elements of an XML text stand within each other.
type nesting struct {
	before  byte // the byte before
	depth   int
	deepest int
}

func (n *nesting) add(text []byte) {
	for _, c := range text {
		switch {
		case n.before == '<' && c == '/':
			n.depth--
		case n.before == '<' && c != '!' && c != '?':
			if n.depth++; n.depth > n.deepest {
				n.deepest = n.depth
			}
		case n.before == '/' && c == '>':
			n.depth--
		}
		n.before = c
	}
}
