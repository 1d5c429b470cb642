package grid

import (
	"slices"
	"unsafe"
)

// onceTexts are texts of which hardly any comes twice, one behind the other in
// blocks: tens of millions of separate texts would keep the clearing of memory
// busy.
type onceTexts struct {
	refs   []uint32 // of each text, block and place in it
	blocks [][]byte // two bytes for the length of each text, then the text
	long   map[uint32]string
}

const (
	onceBlock   = 1 << 16
	onceLongest = 1 << 12
	isLong      = 1<<32 - 1
)

func (o *onceTexts) grow(n int) { o.refs = slices.Grow(o.refs, n) }

func (o *onceTexts) add(s string) {
	n := len(o.blocks)
	if len(s) > onceLongest || n >= onceBlock-1 {
		if o.long == nil {
			o.long = map[uint32]string{}
		}
		o.long[uint32(len(o.refs))] = string([]byte(s))
		o.refs = append(o.refs, isLong)
		return
	}
	if n == 0 || cap(o.blocks[n-1])-len(o.blocks[n-1]) < len(s)+2 {
		o.blocks = append(o.blocks, make([]byte, 0, onceBlock))
		n++
	}
	b := o.blocks[n-1]
	o.refs = append(o.refs, uint32(n-1)<<16|uint32(len(b)))
	o.blocks[n-1] = append(append(b, byte(len(s)), byte(len(s)>>8)), s...)
}

func (o *onceTexts) text(k uint32) string {
	ref := o.refs[k]
	if ref == isLong {
		return o.long[k]
	}
	b := o.blocks[ref>>16][ref&0xffff:]
	n := int(b[0]) | int(b[1])<<8
	return unsafe.String(unsafe.SliceData(b[2:]), n)
}
