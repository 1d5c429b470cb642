package grid

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"unicode/utf8"
	"unsafe"
)

// StreamFrom is the size in bytes from which a text file is read piece by piece
// and never held as a whole. What comes out is the same.
const StreamFrom = 32 << 20

// StreamCSV reads a text file of rows as ReadCSV does. One that is not written as
// nearly all are is looked through first; what is not in UTF-8 is held as a whole, up
// to MaxFileBytes.
func StreamCSV(ctx context.Context, name string, in io.ReaderAt, size int64, score Score) (Book, error) {
	return streamCSV(ctx, name, in, size, score, chunkBytes)
}

func streamCSV(ctx context.Context, name string, in io.ReaderAt, size int64, score Score, piece int64) (Book, error) {
	b, err := inOnePass(ctx, name, in, size, score, piece)
	if errors.Is(err, errOtherText) {
		b, err = inTwoPasses(ctx, name, in, size, score, piece)
	}
	switch {
	case ctx.Err() != nil:
		return Book{}, ctx.Err()
	case err != nil:
		return unreadable("the file cannot be read to its end"), nil
	}
	return b, nil
}

// errOtherText says that a text is not written as nearly all are: in UTF-8, in lines
// that end with line feeds and have no more than MaxLine bytes.
var errOtherText = errors.New("grid: not a plain text of lines")

// inOnePass reads a text that is written as nearly all are, and fails with errOtherText
// as soon as it meets another.
func inOnePass(ctx context.Context, name string, in io.ReaderAt, size int64, score Score, piece int64) (Book, error) {
	head := make([]byte, min(size, headBytes+4))
	if _, err := in.ReadAt(head, 0); err != nil && !errors.Is(err, io.EOF) {
		return Book{}, err
	}
	start := startOf(head)
	if start < 0 || bytes.IndexByte(head, '\n') < 0 {
		return Book{}, errOtherText
	}
	return readPieces(ctx, name, &pieces{in: in, at: start, size: size, piece: piece}, score)
}

// inTwoPasses tells how a text is written before it reads the cells. What is not in
// UTF-8 is held as a whole.
func inTwoPasses(ctx context.Context, name string, in io.ReaderAt, size int64, score Score, piece int64) (Book, error) {
	facts, err := factsOf(ctx, in, size)
	switch {
	case err != nil:
		return Book{}, err
	case !facts.utf8 && size > MaxFileBytes:
		return unreadable("the file is larger than 1 GiB and not in UTF-8"), nil
	case !facts.utf8:
		data := make([]byte, size)
		if _, err := in.ReadAt(data, 0); err != nil && !errors.Is(err, io.EOF) {
			return Book{}, err
		}
		return ReadCSV(ctx, name, data, score)
	case facts.longest > MaxLine:
		return unreadable("the file has a line of more than 16 MiB, as no log has"), nil
	}
	return readPieces(ctx, name, &pieces{in: in, at: facts.start, size: size, piece: piece, returns: !facts.lines && facts.returns, looked: true}, score)
}

// headBytes is how much of a file tells what parts its cells.
const headBytes = 1 << 16

func readPieces(ctx context.Context, name string, src *pieces, score Score) (Book, error) {
	head := make([]byte, min(src.size-src.at, headBytes+1))
	if _, err := src.in.ReadAt(head, src.at); err != nil && !errors.Is(err, io.EOF) {
		return Book{}, err
	}
	sep := separator(src.mended(head), strings.HasSuffix(strings.ToLower(name), ".tsv"), score)
	s := &Sheet{Text: true, Semicolons: sep == ';', keep: keeper()}
	if err := s.readStream(ctx, src, sep, src.size-src.at); err != nil {
		return Book{}, err
	}
	return Book{Sheets: []*Sheet{s}}, nil
}

// startOf is where a text begins, behind a byte order mark; -1 where a file begins
// like none in UTF-8.
func startOf(head []byte) int64 {
	switch {
	case bytes.HasPrefix(head, []byte{0xef, 0xbb, 0xbf}):
		return 3
	case bytes.HasPrefix(head, zipMark) && bytes.HasPrefix(head[2:], []byte{3, 4}), bytes.HasPrefix(head, oleMark), zerosAt(head, 0), zerosAt(head, 1):
		return -1
	}
	return 0
}

// isText reports whether a text is in UTF-8 and has no zeros.
func isText(text []byte) bool { return bytes.IndexByte(text, 0) < 0 && utf8.Valid(text) }

// keeper copies texts into pieces of memory that hold many.
func keeper() func(string) string {
	var room []byte
	return func(s string) string {
		if len(s) > 1<<12 {
			return strings.Clone(s)
		}
		if cap(room)-len(room) < len(s) {
			room = make([]byte, 0, 1<<16)
		}
		from := len(room)
		room = append(room, s...)
		return unsafe.String(unsafe.SliceData(room[from:]), len(s))
	}
}

// pieces cuts a file into pieces of whole lines.
type pieces struct {
	in       io.ReaderAt
	at, size int64
	piece    int64  // bytes read in one go
	returns  bool   // lines end with carriage returns
	looked   bool   // the text is known to be one
	rest     []byte // of the last piece, a line that is not whole
}

func (p *pieces) mended(text []byte) []byte {
	if p.returns {
		for i, c := range text {
			if c == '\r' {
				text[i] = '\n'
			}
		}
	}
	return text
}

// next is the next piece behind what is carried over, in room if that is large
// enough; it is empty at the end of the file. last says that nothing follows.
func (p *pieces) next(room, carried []byte) (text []byte, last bool, err error) {
	text = append(append(room[:0], carried...), p.rest...)
	p.rest = p.rest[:0]
	for {
		n := min(p.size-p.at, p.piece)
		from := len(text)
		if cap(text)-from < int(n) {
			text = append(make([]byte, 0, from+int(n+n/16)), text...) // the rest of a line before differs from piece to piece
		}
		text = text[:from+int(n)]
		got, err := p.in.ReadAt(text[from:], p.at)
		if int64(got) < n {
			return nil, false, cmpErr(err)
		}
		p.mended(text[from:])
		if line := from - len(carried) + lineLength(text[from:]); !p.looked && line > MaxLine {
			return nil, false, errOtherText
		}
		if p.at += n; p.at == p.size {
			return text, true, nil
		}
		if end := bytes.LastIndexByte(text[from:], '\n'); end >= 0 {
			p.rest = append(p.rest, text[from+end+1:]...)
			return text[:from+end+1], false, nil
		}
	}
}

// lineLength is how many bytes a line has without its line feed.
func lineLength(text []byte) int {
	if i := bytes.IndexByte(text, '\n'); i >= 0 {
		return i
	}
	return len(text)
}

// readStream reads the rows of a file piece by piece. Pieces without quotation
// marks are parted on all cores; others one after the other, because a cell may
// reach from one into the next.
func (s *Sheet) readStream(ctx context.Context, src *pieces, sep rune, size int64) error {
	parts := newReaders(byte(sep))
	defer parts.end()
	go func() {
		defer close(parts.queue)
		var carried []byte
		for last := false; !last; {
			var of read
			select {
			case of.room = <-parts.rooms:
			default:
			}
			of.room, last, of.err = src.next(of.room, carried)
			if of.err == nil && len(carried) == 0 && bytes.IndexByte(of.room, '"') < 0 {
				of.text = unsafe.String(unsafe.SliceData(of.room), len(of.room))
				if !parts.part(of) {
					return
				}
				continue
			}
			if of.err == nil && !src.looked && !isText(of.room) {
				of.err = errOtherText
			}
			if last = last || of.err != nil; of.err == nil {
				of.sheet = &Sheet{Text: true}
				of.lines, carried, of.err = of.sheet.readPart(ctx, of.room, sep, last)
			}
			done := make(chan read, 1)
			done <- of
			if !parts.hand(done) {
				return
			}
		}
	}()
	_, err := parts.join(ctx, s, int(size))
	return err
}

// readPart reads a piece with quotation marks. Where its last record is not
// surely whole and more of the file follows, that record is carried over.
func (s *Sheet) readPart(ctx context.Context, text []byte, sep rune, last bool) (lines int, carried []byte, err error) {
	r := newCSV(text, sep)
	inner := 0
	for n := 0; ; n++ {
		if n%1024 == 0 && ctx.Err() != nil {
			return 0, nil, ctx.Err()
		}
		from := r.InputOffset()
		record, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			s.Stop = Stop{s.lastNumber() + 1, err.Error()}
			break
		}
		line, _ := r.FieldPos(0)
		breaks := lineBreaks(record)
		raw := text[from:r.InputOffset()]
		whole := true
		if atEnd := r.InputOffset() == int64(len(text)); breaks > 0 || atEnd && !last {
			whole = closed(raw, sep)
			if atEnd && !last && !whole && len(raw) < MaxLine {
				return bytes.Count(text[:from], []byte("\n")) - inner, bytes.Clone(raw), nil
			}
		}
		if breaks > 0 && !whole {
			s.addLines(raw, sep, line-inner)
			continue
		}
		inner += breaks
		s.add(line-inner+breaks, record)
	}
	lines = bytes.Count(text, []byte("\n")) - inner
	if len(text) > 0 && text[len(text)-1] != '\n' {
		lines++
	}
	return lines, nil, nil
}
