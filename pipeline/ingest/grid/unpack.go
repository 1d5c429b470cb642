package grid

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
)

// A workbook is a zip archive of XML parts. The library that reads it holds most
// parts in memory, several times over, so that what counts is what they unpack
// to, all together, and of how many elements they are made. Before it is opened,
// the parts that are needed are unpacked once into nothing and counted, because
// what an archive says of itself may be a lie; the others (pictures, drawings,
// charts, pivot tables) are not handed on at all.
//
// The limits leave room for the largest honest workbooks: a full sheet of
// 1,048,576 rows and some ten columns unpacks to about half a gigabyte, by some
// 10 to 25 times; its elements stand within each other a dozen deep. Spreadsheet
// programs allow 65,490 cell formats, which are about 200,000 elements.
const (
	maxParts         = 10_000     // parts of a workbook
	maxUnpacked      = unzipLimit // bytes of the needed parts together
	maxOther         = 16 << 20   // bytes of the needed parts together that are neither sheets nor their texts
	maxOtherElements = 250_000    // elements of those parts together
	maxDirectory     = 10_000     // elements of a part that names sheets or says where parts are
	maxSheetElements = 64_000_000 // elements of all sheets together
	maxStrings       = 1_100_000  // shared texts
	maxInRow         = 200_000    // elements of a row or of a shared text
	maxRun           = 4 << 20    // bytes between two elements; a cell's text is far shorter
	freeOfRatio      = 4 << 20    // bytes up to which a part may unpack by any ratio
	maxRatio         = 100        // times that a larger part may unpack
	maxNesting       = 256        // elements within each other

	heldSheets  = 48 << 20 // bytes of sheets that the library may hold in memory, all together
	heldStrings = 16 << 20 // bytes of shared texts that it may
	heldTexts   = 100_000  // shared texts that it may
)

// kind says what a part is for.
type kind int

const (
	otherPart kind = iota
	directoryPart
	sheetsPart
	stringsPart
	needless
)

func kindOf(name string) kind {
	name = strings.ToLower(strings.ReplaceAll(name, "\\", "/"))
	folder := path.Base(path.Dir(name))
	switch {
	case name == "xl/sharedstrings.xml":
		return stringsPart
	case strings.HasPrefix(name, "xl/worksheets/sheet") && strings.HasSuffix(name, ".xml"):
		return sheetsPart
	case name == "xl/workbook.xml", name == "xl/_rels/workbook.xml.rels":
		return directoryPart
	case slices.Contains([]string{"media", "drawings", "charts", "pivottables", "pivotcache", "externallinks", "embeddings", "printersettings", "customxml", "docprops", "tables", "comments", "threadedcomments"}, folder),
		!strings.HasSuffix(name, ".xml") && !strings.HasSuffix(name, ".rels"):
		return needless
	}
	return otherPart
}

// unpacking is what was found out about a workbook before it is opened.
type unpacking struct {
	sheets                       []int64 // bytes of each
	stringBytes                  int64
	texts                        int
	other, total                 uint64
	otherElements, sheetElements int
}

// packed is a workbook that may be unpacked.
type packed struct {
	data  []byte // the archive of the parts that are needed
	limit int64  // size of a sheet or of the texts above which they go to a temporary file
	spill int64  // bytes that go to temporary files, at most
}

// unpackable gives the workbook, or says why it must not be unpacked. Only a
// cancelled context is an error. Bytes that are no archive come back as they
// are: the one who opens them tells.
func unpackable(ctx context.Context, data []byte) (p packed, why string, err error) {
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return packed{data: data, limit: unzipXMLLimit}, "", nil
	}
	if len(archive.File) > maxParts {
		return packed{}, "the workbook has more than 10,000 parts, which no spreadsheet program writes; save a copy of the sheets alone", nil
	}
	var u unpacking
	var kept []*zip.File
	for _, part := range archive.File {
		if kindOf(part.Name) == needless {
			continue
		}
		if why := u.sizes(part); why != "" {
			return packed{}, why, nil
		}
		kept = append(kept, part)
	}
	for _, part := range kept {
		if why, err := u.try(ctx, part); why != "" || err != nil {
			return packed{}, why, err
		}
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, part := range kept {
		if err := w.Copy(part); err != nil {
			return packed{}, cutShort, nil
		}
	}
	if err := w.Close(); err != nil {
		return packed{}, cutShort, nil
	}
	limit := u.limit()
	return packed{out.Bytes(), limit, u.spill(limit)}, "", nil
}

const cutShort = "the workbook is damaged or was cut short, as after an interrupted copy or download"

// sizes judges a part by what the archive says of it.
func (u *unpacking) sizes(part *zip.File) string {
	size, k := part.UncompressedSize64, kindOf(part.Name)
	if size > maxUnpacked || u.total+size > maxUnpacked {
		return "the workbook is larger than 1 GiB when unpacked; save its sheets as separate files"
	}
	u.total += size
	switch k {
	case sheetsPart:
		u.sheets = append(u.sheets, int64(size))
	case stringsPart:
		u.stringBytes += int64(size)
	default:
		if u.other += size; u.other > maxOther {
			return "the parts of the workbook beside its sheets (" + path.Base(part.Name) + ") are larger than any spreadsheet program writes them; save the sheets as .csv"
		}
	}
	if size > freeOfRatio && size > maxRatio*(part.CompressedSize64+1) {
		return "a part of the workbook unpacks to more than 100 times its size, as no log does; save the sheet as .csv"
	}
	return ""
}

// limit is the size of a sheet or of the shared texts above which they go to a
// temporary file: as many of the smallest sheets stay in memory as have room.
func (u *unpacking) limit() int64 {
	slices.Sort(u.sheets)
	limit, held := int64(unzipXMLLimit), int64(0)
	for _, size := range u.sheets {
		if held += size; held > heldSheets {
			limit = min(limit, size-1)
			break
		}
	}
	if u.stringBytes > heldStrings || u.texts > heldTexts {
		limit = min(limit, u.stringBytes-1)
	}
	return max(limit, 1)
}

// spill is how many bytes go to temporary files under that limit. Texts go there
// twice: as they are packed, and one by one.
func (u *unpacking) spill(limit int64) int64 {
	n := int64(0)
	for _, size := range u.sheets {
		if size > limit {
			n += size
		}
	}
	if u.stringBytes > limit {
		n += 2 * u.stringBytes
	}
	return n
}

// try unpacks a part into nothing and counts. It must be no longer than it says.
func (u *unpacking) try(ctx context.Context, part *zip.File) (why string, err error) {
	r, err := part.Open()
	if err != nil {
		return "the workbook is damaged", nil
	}
	defer r.Close()
	var count elements
	k := kindOf(part.Name)
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
		count.add(buf[:n])
		if why := u.judge(k, &count, path.Base(part.Name)); why != "" {
			return why, nil
		}
		if err == io.EOF {
			break
		}
		if err != nil {
			return cutShort, nil
		}
	}
	switch k {
	case stringsPart:
		u.texts += count.groups
	case sheetsPart:
		u.sheetElements += count.all
	default:
		u.otherElements += count.all
	}
	return "", nil
}

// judge says what is too much in a part as far as it is counted.
func (u *unpacking) judge(k kind, e *elements, name string) string {
	switch {
	case e.deepest > maxNesting:
		return "the workbook holds elements within each other deeper than any spreadsheet program writes them; save the sheet as .csv"
	case e.run > maxRun:
		return "the workbook holds a text of more than 4 MiB (" + name + "), longer than any cell; save the sheet as .csv"
	case e.most > maxInRow && (k == sheetsPart || k == stringsPart):
		return "a row or a text of the workbook (" + name + ") has more pieces than any spreadsheet program writes; save the sheet as .csv"
	case k == sheetsPart && e.groups > MaxRows:
		return fmt.Sprintf("a sheet of the workbook (%s) has more than %d rows, which no spreadsheet program writes", name, MaxRows)
	case k == sheetsPart && u.sheetElements+e.all > maxSheetElements:
		return "the workbook has more cells than are read of one file; save its sheets as separate files"
	case k == stringsPart && e.groups > maxStrings:
		return "the workbook has more than 1,100,000 different texts; save its sheets as separate files"
	case k == directoryPart && e.all > maxDirectory:
		return "the workbook names more sheets and ranges (" + name + ") than are read; save the sheets that are needed as a workbook of their own"
	case (k == otherPart || k == directoryPart) && u.otherElements+e.all > maxOtherElements:
		return "the workbook has more formats (" + name + ") than any spreadsheet program allows; save the sheets as .csv"
	}
	return ""
}

// elements counts the elements of an XML text, how deep they stand within each
// other, and how many follow on each row or shared text.
type elements struct {
	tail                [2]byte // the two bytes before
	all, depth, deepest int
	groups, inRow, most int // rows or texts; elements since the last; the most
	run                 int // bytes since the last element began
	name                [4]byte
	named               int // bytes of the name so far; -1 outside of a name
}

func (e *elements) add(text []byte) {
	for _, c := range text {
		before := e.tail[1]
		e.run++
		switch {
		case before == '<' && c == '/':
			e.depth--
			e.named, e.run = -1, 0
		case before == '<' && c != '!' && c != '?':
			e.all++
			e.inRow++
			e.run, e.named = 0, 0
			e.most = max(e.most, e.inRow)
			e.depth++
			e.deepest = max(e.deepest, e.depth)
		case before == '/' && c == '>':
			e.depth--
		}
		if before != '<' || c != '/' && c != '!' && c != '?' {
			e.spell(c)
		}
		e.tail[0], e.tail[1] = before, c
	}
}

// spell follows the name of an element; a prefix of a namespace is dropped.
func (e *elements) spell(c byte) {
	switch {
	case e.all == 0 || e.named < 0:
	case c == ':':
		e.named = 0
	case c == '>' || c == '/' || c <= ' ':
		if s := string(e.name[:min(e.named, 4)]); s == "row" || s == "si" {
			e.groups++
			e.inRow = 0
		}
		e.named = -1
	default:
		if e.named < len(e.name) {
			e.name[e.named] = c
		}
		e.named++
	}
}
