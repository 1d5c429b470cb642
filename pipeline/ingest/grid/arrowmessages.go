package grid

import (
	"encoding/binary"
	"io"
	"sync/atomic"

	"github.com/apache/arrow/go/v17/arrow/ipc"
	"github.com/apache/arrow/go/v17/arrow/memory"
)

// messages hands the messages of an Arrow stream to Arrow's reader. That reader
// believes what a message says of its sizes, and makes room for it before it
// looks; here each is held against the bytes of the file first.
type messages struct {
	in   io.ReaderAt
	at   int64
	size int64
	mem  memory.Allocator
	refs int64
	last *ipc.Message
}

func (m *messages) Retain() { atomic.AddInt64(&m.refs, 1) }

func (m *messages) Release() {
	if atomic.AddInt64(&m.refs, -1) == 0 && m.last != nil {
		m.last.Release()
		m.last = nil
	}
}

// Message is the next message, io.EOF at the end.
func (m *messages) Message() (*ipc.Message, error) {
	var word [4]byte
	read := func() (uint32, error) {
		if m.at+4 > m.size {
			return 0, io.EOF
		}
		if _, err := m.in.ReadAt(word[:], m.at); err != nil {
			return 0, damagedFile
		}
		m.at += 4
		return binary.LittleEndian.Uint32(word[:]), nil
	}
	n, err := read()
	if n == 0xffffffff && err == nil {
		n, err = read()
	}
	switch {
	case err != nil:
		return nil, err
	case n == 0:
		return nil, io.EOF
	case int64(n) > min(m.size-m.at, MaxFooter):
		return nil, damagedFile
	}
	meta := make([]byte, n)
	if _, err := m.in.ReadAt(meta, m.at); err != nil && err != io.EOF {
		return nil, damagedFile
	}
	m.at += int64(n)
	body, err := flat(meta).message()
	if err != nil || body < 0 || body > m.size-m.at {
		return nil, damagedFile
	}
	room := memory.NewResizableBuffer(m.mem)
	defer room.Release()
	room.Resize(int(body))
	if _, err := m.in.ReadAt(room.Bytes(), m.at); err != nil && err != io.EOF {
		return nil, damagedFile
	}
	m.at += body
	if m.last != nil {
		m.last.Release()
	}
	m.last = ipc.NewMessage(memory.NewBufferBytes(meta), room)
	return m.last, nil
}

// flat is a FlatBuffer, as Arrow's messages are described in: tables whose fields
// are found by offsets, and vectors that begin with their length. The numbers of
// fields are those of Arrow's Message.fbs and Schema.fbs.
type flat []byte

const (
	deepest   = 32 // fields inside of fields
	mostNodes = 4 * MaxColumns
)

// message checks the lengths of all vectors that Arrow's reader makes room for,
// and gives the length of the body.
func (f flat) message() (body int64, err error) {
	err = guarded(func() error {
		root := f.offset(0)
		if at := f.field(root, 3); at > 0 {
			body = int64(binary.LittleEndian.Uint64(f.bytes(at, 8)))
		}
		f.vector(f.field(root, 4), 4)
		header := f.field(root, 2)
		if header == 0 {
			return damagedFile
		}
		at := f.offset(header)
		switch kind := f.bytes(f.field(root, 1), 1)[0]; kind {
		case 1: // schema
			nodes := 0
			f.fields(f.field(at, 1), 0, &nodes)
			f.vector(f.field(at, 2), 4)
			f.vector(f.field(at, 3), 8)
		case 2: // dictionary
			f.batch(f.offset(f.field(at, 1)))
		case 3: // record batch
			f.batch(at)
		}
		return nil
	})
	return body, err
}

func (f flat) batch(at int) {
	f.vector(f.field(at, 1), 16)
	f.vector(f.field(at, 2), 16)
	f.vector(f.field(at, 4), 8)
}

// fields checks a vector of fields and those inside of each.
func (f flat) fields(at, depth int, nodes *int) {
	from, n := f.vector(at, 4)
	if *nodes += n; depth > deepest || *nodes > mostNodes {
		panic(damagedFile)
	}
	for k := range n {
		field := f.offset(from + 4*k)
		f.fields(f.field(field, 5), depth+1, nodes)
		f.vector(f.field(field, 6), 4)
	}
}

func (f flat) bytes(at, n int) []byte {
	if at <= 0 && n != 4 || at < 0 || at+n > len(f) {
		panic(damagedFile)
	}
	return f[at : at+n]
}

// offset is where the offset at a place leads.
func (f flat) offset(at int) int {
	to := at + int(binary.LittleEndian.Uint32(f.bytes(at, 4)))
	f.bytes(to, 4)
	return to
}

// field is the place of a table's field, 0 where the table lacks it.
func (f flat) field(table, k int) int {
	known := table - int(int32(binary.LittleEndian.Uint32(f.bytes(table, 4))))
	size := int(binary.LittleEndian.Uint16(f.bytes(known, 2)))
	if 4+2*k+2 > size {
		return 0
	}
	if off := int(binary.LittleEndian.Uint16(f.bytes(known+4+2*k, 2))); off > 0 {
		return table + off
	}
	return 0
}

// vector checks that a vector's items of so many bytes lie in the buffer.
func (f flat) vector(at, item int) (from, n int) {
	if at == 0 {
		return 0, 0
	}
	start := f.offset(at)
	n = int(binary.LittleEndian.Uint32(f.bytes(start, 4)))
	if n > (len(f)-start-4)/item {
		panic(damagedFile)
	}
	return start + 4, n
}
