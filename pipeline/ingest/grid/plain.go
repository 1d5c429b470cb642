package grid

import (
	"context"
	"runtime"
)

// chunkBytes is how much of a text file is parted into cells in one go. It
// doesn't depend on the machine, so that the outcome doesn't either.
const chunkBytes = 2 << 20

// readPlain reads a text without quotation marks, in which every line is a row
// and every separator parts two cells. Pieces of it are parted on all cores and
// put together in order.
func (s *Sheet) readPlain(ctx context.Context, text string, sep byte) error {
	if len(text) <= chunkBytes {
		p := &piece{}
		(&lineReader{sep: sep}).read(text, p)
		(&joiner{sheet: s}).join(p)
		return ctx.Err()
	}
	parts := newReaders(sep)
	defer parts.end()
	go func() {
		defer close(parts.queue)
		for rest := text; rest != ""; {
			end := len(rest)
			if end > chunkBytes {
				end = chunkBytes + lineEnd(rest[chunkBytes:])
			}
			if !parts.part(read{text: rest[:end]}) {
				return
			}
			rest = rest[end:]
		}
	}()
	_, err := parts.join(ctx, s, len(text))
	return err
}

// readers part pieces of text on all cores.
type readers struct {
	queue chan chan read // what was read, or will be, in the order of the text
	tasks chan task
	stop  chan struct{}
	rooms chan []byte // that nobody uses any more
	spare chan *piece
}

// read is a piece of text on its way: parted into cells, or why not.
type read struct {
	text  string
	room  []byte // in which the text stands, nil where that is not to be used again
	piece *piece
	sheet *Sheet // in place of piece, of a text with quotation marks
	lines int    // of the sheet
	err   error
}

type task struct {
	read
	done chan read
}

func newReaders(sep byte) *readers {
	cores := runtime.GOMAXPROCS(0)
	r := &readers{
		queue: make(chan chan read, cores+1), tasks: make(chan task), stop: make(chan struct{}),
		rooms: make(chan []byte, cores+3), spare: make(chan *piece, cores+3),
	}
	for k := range cores {
		go r.work(&lineReader{number: k, sep: sep})
	}
	return r
}

// end lets the readers go.
func (r *readers) end() { close(r.stop) }

func (r *readers) work(lines *lineReader) {
	for {
		select {
		case <-r.stop:
			return
		case t := <-r.tasks:
			select {
			case t.piece = <-r.spare:
			default:
				t.piece = &piece{}
			}
			if t.room != nil && !isText(t.room) {
				t.err = errOtherText
			} else {
				lines.read(t.text, t.piece)
			}
			t.done <- t.read
		}
	}
}

// part has a text parted; false once nobody waits for it any more.
func (r *readers) part(of read) bool {
	done := make(chan read, 1)
	return r.hand(done) && r.task(task{of, done})
}

func (r *readers) task(t task) bool {
	select {
	case r.tasks <- t:
		return true
	case <-r.stop:
		return false
	}
}

// hand puts what will be read into the queue.
func (r *readers) hand(done chan read) bool {
	select {
	case r.queue <- done:
		return true
	case <-r.stop:
		return false
	}
}

// join puts all that is read of a text of so many bytes together.
func (r *readers) join(ctx context.Context, s *Sheet, size int) (lines int, err error) {
	j := &joiner{sheet: s}
	for done := range r.queue {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		var of read
		select {
		case of = <-done:
		case <-ctx.Done():
			return 0, ctx.Err()
		}
		if of.err != nil {
			return 0, of.err
		}
		first := s.Len() == 0
		if of.sheet != nil {
			j.joinSheet(of.sheet, of.lines)
		} else {
			j.join(of.piece)
			of.piece.clear()
			of.piece.once = s.neverTwice(of.piece.once)
			offer(r.spare, of.piece)
		}
		if first && size > chunkBytes {
			s.expect(size/chunkBytes + 1)
		}
		if of.room != nil {
			offer(r.rooms, of.room)
		}
	}
	return j.lines, nil
}

// offer keeps a thing to be used again, where there is room for it.
func offer[T any](to chan T, thing T) {
	select {
	case to <- thing:
	default:
	}
}

// neverTwice tells for each column whether hardly any of its texts comes twice.
func (s *Sheet) neverTwice(room []bool) []bool {
	room = room[:0]
	for _, c := range s.columns {
		room = append(room, c.index == nil)
	}
	return room
}
