package grid

import (
	"bytes"
	"context"
	"io"
	"unicode/utf8"
)

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
			f.start = max(0, startOf(text))
			f.utf8 = startOf(text) >= 0
		}
		at += int64(n)
		whole := text
		if at < size {
			whole = text[:len(text)-cutLetter(text)]
		}
		if f.utf8 = f.utf8 && isText(whole); !f.utf8 {
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
