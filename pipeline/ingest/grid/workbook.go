package grid

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/scratch"
)

// Sizes up to which a workbook is unpacked: in all, and for one sheet in
// memory; a larger sheet goes to the temporary folder.
const (
	unzipLimit    = 1 << 30
	unzipXMLLimit = 64 << 20
)

// Book is what a file holds.
type Book struct {
	Sheets     []*Sheet
	Encoding   string // the encoding that was assumed, "" where the file says it
	Unreadable string // why nothing could be read, "" where it could
}

func unreadable(why string) Book { return Book{Unreadable: why} }

// ReadWorkbook reads all sheets of a workbook. What the bytes can cause is in
// book.unreadable or in the sheets; the error is for a cancelled context and for
// a machine that has no room.
func ReadWorkbook(ctx context.Context, data []byte) (b Book, err error) {
	p, why, err := unpackable(ctx, data)
	if why != "" || err != nil {
		return Book{Unreadable: why}, err
	}
	tmp, done, err := roomFor(p.spill)
	if err != nil {
		return Book{}, err
	}
	defer done()
	// The library that unpacks workbooks meets files here that nobody has
	// checked; should it fail on one, that file is unreadable and the rest go on.
	defer func() {
		if recover() != nil {
			b, err = unreadable("the workbook is damaged"), nil
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(p.data), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: unzipLimit, UnzipXMLSizeLimit: p.limit, TmpDir: tmp,
	})
	if f != nil {
		defer f.Close()
	}
	if err != nil {
		return unreadable(whyNoWorkbook(data, err)), nil
	}
	props, err := f.GetWorkbookProps()
	if err != nil {
		return unreadable("the workbook is damaged"), nil
	}
	parts, styles := partsOf(f), styleReader(f)
	for _, name := range f.GetSheetList() {
		s := &Sheet{Name: name, Date1904: props.Date1904 != nil && *props.Date1904, Parts: parts[name], Styles: styles}
		visible, err := f.GetSheetVisible(name)
		s.Hidden = err == nil && !visible
		if err := s.readRows(ctx, f); err != nil {
			return Book{}, err
		}
		b.Sheets = append(b.Sheets, s)
	}
	if len(b.Sheets) == 0 {
		return unreadable("there is no sheet in the file: it is not a workbook, or it is damaged"), nil
	}
	return b, nil
}

// ErrNoRoom says that large sheets can't be unpacked for want of room.
var ErrNoRoom = errors.New("no room to unpack a large workbook")

// roomFor gives the folder in which so many bytes of large sheets can be
// unpacked; "" for none. The library that unpacks them goes on in silence with
// what it could write, so that the room is looked at first.
func roomFor(size int64) (folder string, done func(), err error) {
	if size == 0 {
		return "", func() {}, nil
	}
	tmp, err := scratch.Temporary("moldwright-read-")
	if err != nil {
		return "", nil, fmt.Errorf("%w: %w; free some room for temporary files, or name another folder for them in TMPDIR (TMP on Windows)", ErrNoRoom, err)
	}
	if room, known := scratch.Room(tmp.Path()); known && room < uint64(size) {
		tmp.Remove()
		return "", nil, fmt.Errorf("%w: it takes %d MB of temporary files, and %s has room for %d MB; free some, or name another folder for them in TMPDIR (TMP on Windows)",
			ErrNoRoom, size>>20+1, os.TempDir(), room>>20)
	}
	return tmp.Path(), func() { tmp.Remove() }, nil
}

// readRows reads a sheet row by row. Only a cancelled context is an error.
func (s *Sheet) readRows(ctx context.Context, f *excelize.File) error {
	rows, err := f.Rows(s.Name)
	if err != nil {
		s.Why = "it holds no cells (a chart, a macro sheet, or its part of the file is missing)"
		return nil
	}
	defer rows.Close()
	number := 0
	for rows.Next() {
		if number%1024 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		number++
		hidden := rows.GetRowOpts().Hidden
		cells, err := rows.Columns()
		if err != nil {
			s.Stop = Stop{number, "the file is damaged there, or has more rows or columns than a spreadsheet can"}
			return nil
		}
		before := s.Len()
		s.add(number, cells)
		if hidden && s.Len() > before {
			s.HiddenRows++
		}
		if s.full() { // a cell at the far right of every row takes minutes
			s.Stop = Stop{number, "it has more cells, empty ones included, than are read of one sheet"}
			return nil
		}
	}
	if rows.Error() != nil {
		s.Stop = Stop{number + 1, "the file is damaged there, or has more rows or columns than a spreadsheet can"}
	} else if last := s.Parts.lastRow(); last > number || last == 0 && s.Parts.rows() > number {
		s.Stop = Stop{number + 1, "the file is damaged there"}
	}
	return nil
}

// Beginnings of files.
var (
	zipMark = []byte("PK")
	oleMark = []byte{0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1}
)

// whyNoWorkbook says in plain words why bytes that should be a workbook are none.
func whyNoWorkbook(data []byte, err error) string {
	switch {
	case bytes.HasPrefix(data, oleMark) && bytes.Contains(data, utf16le("EncryptedPackage")):
		return "the workbook is protected with a password"
	case bytes.HasPrefix(data, oleMark):
		return "this is a workbook in the old .xls form, or another old office file, under a new name"
	case !bytes.HasPrefix(data, zipMark):
		return "this is not a workbook, whatever its name says"
	case errors.Is(err, excelize.ErrOptionsUnzipSizeLimit) || bytes.Contains([]byte(err.Error()), []byte("unzip size exceeds")):
		return "the workbook is larger than 1 GiB when unpacked"
	}
	return "the workbook is damaged or was cut short, as after an interrupted copy or download"
}

func utf16le(s string) []byte {
	out := make([]byte, 0, 2*len(s))
	for i := range len(s) {
		out = append(out, s[i], 0)
	}
	return out
}
