package grid

import (
	"context"
	"runtime"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/quantity"
)

// chunkBytes is how much of a text file is parted into cells in one go. It
// doesn't depend on the machine, so that the outcome doesn't either.
const chunkBytes = 2 << 20

// readPlain reads a text without quotation marks, in which every line is a row
// and every separator parts two cells. Pieces of it are parted on all cores and
// put together in order.
func (s *Sheet) readPlain(ctx context.Context, text string, sep byte) error {
	type piece struct {
		sheet *Sheet
		lines int
	}
	size := len(text)
	pieces := make(chan chan piece, runtime.GOMAXPROCS(0)+1)
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		defer close(pieces)
		for text != "" {
			end := len(text)
			if end > chunkBytes {
				end = chunkBytes
				if i := strings.IndexByte(text[end:], '\n'); i >= 0 {
					end += i + 1
				} else {
					end = len(text)
				}
			}
			part, done := text[:end], make(chan piece, 1)
			text = text[end:]
			select {
			case pieces <- done:
			case <-stop:
				return
			}
			go func() {
				p := &Sheet{Text: true}
				done <- piece{p, p.readLines(part, sep)}
			}()
		}
	}()
	lines := 0
	for done := range pieces {
		if err := ctx.Err(); err != nil {
			return err
		}
		p := <-done
		if lines == 0 && size > chunkBytes {
			s.expect(p.sheet, size/chunkBytes+1)
		}
		s.join(p.sheet, lines)
		lines += p.lines
	}
	return nil
}

// readLines adds the rows of a piece of text and counts its lines.
func (s *Sheet) readLines(text string, sep byte) (lines int) {
	var starts [64]int // of the cells of the line
	for from := 0; from < len(text); {
		lines++
		cells, start, at := starts[:0], from, from
		for ; at < len(text); at++ {
			c := text[at]
			if c > sep && c != '\n' {
				continue
			}
			if c == '\n' {
				break
			}
			if c == sep {
				cells = append(cells, start)
				start = at + 1
			}
		}
		cells = append(cells, start, at+1)
		s.addLine(text, cells, lines)
		from = at + 1
	}
	return lines
}

// addLine adds a line as a row: cell i of it stands before the sign that
// precedes the start of cell i+1.
func (s *Sheet) addLine(text string, starts []int, number int) {
	n := len(starts) - 1
	s.cells += n
	row := -1
	for i := range n {
		from, to := starts[i], starts[i+1]-1
		if to > from && text[to-1] == '\r' && i == n-1 {
			to--
		}
		if from == to {
			continue
		}
		cell := quantity.Clean(text[from:to])
		if cell == "" {
			continue
		}
		if row < 0 {
			row = s.begin(number)
		}
		if i >= MaxColumns {
			s.WiderRows++
			return
		}
		s.put(row, i, cell)
		s.widths[row] = uint16(i + 1)
	}
}

// expect makes room for so many parts like the first.
func (s *Sheet) expect(first *Sheet, parts int) {
	n := min(len(first.numbers)*parts, MaxLines)
	s.numbers, s.widths = slices.Grow(s.numbers, n), slices.Grow(s.widths, n)
	for at, c := range first.columns {
		if at == len(s.columns) {
			s.columns = append(s.columns, newColumn())
		}
		if c.codes == nil {
			if s.keep != nil {
				s.columns[at].once.refs = slices.Grow(s.columns[at].once.refs, n)
			} else {
				s.columns[at].texts = slices.Grow(s.columns[at].texts, n)
			}
		}
	}
}

// join adds the rows of a part whose first line follows on that many others.
func (s *Sheet) join(part *Sheet, lines int) {
	s.cells += part.cells
	s.WiderRows += part.WiderRows
	for _, row := range part.BrokenQuotes {
		s.BrokenQuotes = append(s.BrokenQuotes, row+lines)
	}
	if part.Stop.Row > 0 && s.Stop.Row == 0 {
		s.Stop = Stop{part.Stop.Row + lines, part.Stop.Why}
	}
	first := len(s.numbers)
	kept := len(part.numbers)
	for kept > 0 && int(part.numbers[kept-1])+lines > MaxLines {
		kept--
	}
	if s.full() {
		kept = 0
	}
	s.RowsBeyond += len(part.numbers) - kept
	for i := range kept {
		s.numbers = append(s.numbers, part.numbers[i]+int32(lines))
	}
	s.widths = append(s.widths, part.widths[:kept]...)
	for at, from := range part.columns {
		if at == len(s.columns) {
			s.columns = append(s.columns, newColumn())
		}
		to := s.columns[at]
		codes := make([]uint32, len(from.texts))
		for k, text := range from.texts {
			codes[k] = to.codeOf(text, s.keep)
		}
		to.hits += max(0, kept-len(from.texts))
		before := to.weight
		for page, of := range from.pages {
			start := page * PageRows
			for i := range min(PageRows, max(0, kept-start)) {
				if k := of.at(i); k != 0 {
					to.set(first+start+i, codes[k])
				}
			}
		}
		s.weight += to.weight - before
		s.filled += from.filled
	}
}
