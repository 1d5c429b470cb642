package grid

import (
	"bytes"
	"context"
	"errors"
	"io"
	"runtime"
	"strings"
	"unicode/utf8"
	"unsafe"
)

// StreamFrom is the size in bytes from which a text file is read piece by piece
// and never held as a whole. What comes out is the same.
const StreamFrom = 32 << 20

// StreamCSV reads a text file of rows as ReadCSV does, in two passes over the file:
// the first tells how it is written, the second reads the cells. A file that is
// not in UTF-8 is held as a whole, up to MaxFileBytes.
func StreamCSV(ctx context.Context, name string, in io.ReaderAt, size int64, score Score) (Book, error) {
	return streamCSV(ctx, name, in, size, score, chunkBytes)
}

func streamCSV(ctx context.Context, name string, in io.ReaderAt, size int64, score Score, piece int64) (Book, error) {
	facts, err := factsOf(ctx, in, size)
	switch {
	case ctx.Err() != nil:
		return Book{}, ctx.Err()
	case err != nil:
		return unreadable("the file cannot be read to its end"), nil
	case !facts.utf8 && size > MaxFileBytes:
		return unreadable("the file is larger than 1 GiB and not in UTF-8"), nil
	case !facts.utf8:
		data := make([]byte, size)
		if _, err := in.ReadAt(data, 0); err != nil && !errors.Is(err, io.EOF) {
			return unreadable("the file cannot be read to its end"), nil
		}
		return ReadCSV(ctx, name, data, score)
	case facts.longest > MaxLine:
		return unreadable("the file has a line of more than 16 MiB, as no log has"), nil
	}
	src := &pieces{in: in, at: facts.start, size: size, piece: piece, returns: !facts.lines && facts.returns}
	head := make([]byte, min(size-facts.start, 1<<16+1))
	if _, err := in.ReadAt(head, facts.start); err != nil && !errors.Is(err, io.EOF) {
		return unreadable("the file cannot be read to its end"), nil
	}
	sep := separator(src.mended(head), strings.HasSuffix(strings.ToLower(name), ".tsv"), score)
	s := &Sheet{Text: true, Semicolons: sep == ';', keep: keeper()}
	if err := s.readStream(ctx, src, sep, size-facts.start); err != nil {
		if ctx.Err() != nil {
			return Book{}, ctx.Err()
		}
		return unreadable("the file cannot be read to its end"), nil
	}
	return Book{Sheets: []*Sheet{s}}, nil
}

// facts are how a text file is written.
type facts struct {
	start   int64 // of the text, behind a byte order mark
	utf8    bool  // it is text in UTF-8
	lines   bool  // it has line feeds
	returns bool  // it has carriage returns
	longest int   // bytes of its longest line
}

func factsOf(ctx context.Context, in io.ReaderAt, size int64) (facts, error) {
	f := facts{utf8: true}
	block := make([]byte, 1<<20)
	held, line := 0, 0 // bytes of a letter that the last block cut; of the line under way
	for at := int64(0); at < size && ctx.Err() == nil; {
		n, err := in.ReadAt(block[held:min(int64(len(block)), int64(held)+size-at)], at)
		if n == 0 {
			return f, cmpErr(err)
		}
		text := block[:held+n]
		if at == 0 {
			switch {
			case bytes.HasPrefix(text, []byte{0xef, 0xbb, 0xbf}):
				f.start = 3
			case bytes.HasPrefix(text, zipMark) && bytes.HasPrefix(text[2:], []byte{3, 4}), bytes.HasPrefix(text, oleMark), zerosAt(text, 0), zerosAt(text, 1):
				f.utf8 = false
			}
		}
		at += int64(n)
		whole := text
		if at < size {
			whole = text[:len(text)-cutLetter(text)]
		}
		if f.utf8 = f.utf8 && bytes.IndexByte(whole, 0) < 0 && utf8.Valid(whole); !f.utf8 {
			return f, nil
		}
		f.returns = f.returns || bytes.IndexByte(whole, '\r') >= 0
		last := bytes.LastIndexByte(whole, '\n')
		if last < 0 {
			line += len(whole)
			f.longest = max(f.longest, line)
		} else {
			f.lines = true
			first := bytes.IndexByte(whole, '\n')
			f.longest = max(f.longest, line+first)
			line = len(whole) - last - 1
		}
		held = copy(block, text[len(whole):])
	}
	if !f.lines && f.returns {
		f.longest = 0 // its lines end with carriage returns
	}
	return f, ctx.Err()
}

func cmpErr(err error) error {
	if err == nil {
		return io.ErrUnexpectedEOF
	}
	return err
}

// cutLetter is how many bytes at the end of a block are the beginning of a letter.
func cutLetter(text []byte) int {
	for n := 1; n < utf8.UTFMax && n <= len(text); n++ {
		if c := text[len(text)-n]; utf8.RuneStart(c) {
			if c >= utf8.RuneSelf && !utf8.FullRune(text[len(text)-n:]) {
				return n
			}
			return 0
		}
	}
	return 0
}

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
			text = append(make([]byte, 0, from+int(n)), text...)
		}
		text = text[:from+int(n)]
		got, err := p.in.ReadAt(text[from:], p.at)
		if int64(got) < n {
			return nil, false, cmpErr(err)
		}
		p.mended(text[from:])
		if p.at += n; p.at == p.size {
			return text, true, nil
		}
		if end := bytes.LastIndexByte(text[from:], '\n'); end >= 0 {
			p.rest = append(p.rest, text[from+end+1:]...)
			return text[:from+end+1], false, nil
		}
	}
}

// readStream reads the rows of a file piece by piece. Pieces without quotation
// marks are parted on all cores; others one after the other, because a cell may
// reach from one into the next.
func (s *Sheet) readStream(ctx context.Context, src *pieces, sep rune, size int64) error {
	type piece struct {
		sheet *Sheet
		lines int
		room  []byte
		err   error
	}
	queue := make(chan chan piece, runtime.GOMAXPROCS(0)+1)
	rooms := make(chan []byte, runtime.GOMAXPROCS(0)+3)
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		defer close(queue)
		var carried []byte
		for last := false; !last; {
			var room, text []byte
			select {
			case room = <-rooms:
			default:
			}
			var err error
			text, last, err = src.next(room, carried)
			done := make(chan piece, 1)
			p := piece{sheet: &Sheet{Text: true}, room: text, err: err}
			switch {
			case err != nil:
				last = true
				done <- p
			case len(carried) == 0 && bytes.IndexByte(text, '"') < 0:
				go func() {
					p.lines = p.sheet.readLines(unsafe.String(unsafe.SliceData(text), len(text)), byte(sep))
					done <- p
				}()
			default:
				p.lines, carried, p.err = p.sheet.readPart(ctx, text, sep, last)
				done <- p
			}
			select {
			case queue <- done:
			case <-stop:
				return
			}
		}
	}()
	lines := 0
	for done := range queue {
		p := <-done
		if p.err != nil {
			return p.err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if lines == 0 && size > chunkBytes {
			s.expect(p.sheet, int(size/chunkBytes)+1)
		}
		s.join(p.sheet, lines)
		lines += p.lines
		select {
		case rooms <- p.room:
		default:
		}
	}
	return nil
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
