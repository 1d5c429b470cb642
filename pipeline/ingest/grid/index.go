package grid

import (
	"hash/maphash"
	"math/bits"
	"math/rand/v2"
	"strings"
)

// textIndex finds the number of a text, several times faster than a map of strings:
// texts of up to sixteen bytes, which most cells of a log are, are two words that are
// compared as they are. It is a table with open places. Its seed is drawn, so that no
// file can be made to fill it badly; nothing that is read depends on it.
type textIndex struct {
	places []place
	held   int
	seed   [2]uint64
	long   longTexts
}

// place holds the key of a text and its number; the number 0 is an open place.
type place struct {
	key
	code uint32
}

// key is what a text is known by. Texts of more than wordTexts bytes may share one.
type key struct {
	lo, hi uint64
	size   uint32
}

// longTexts are texts that their keys do not tell apart, by number.
type longTexts struct {
	seed maphash.Seed
	by   map[uint32]string
}

// wordTexts is up to how many bytes of a text its key holds.
const wordTexts = 16

func newIndex() *textIndex {
	return &textIndex{places: make([]place, 16), seed: [2]uint64{rand.Uint64(), rand.Uint64()}}
}

// key is the key of a text.
func (x *textIndex) key(text string) key {
	n := len(text)
	switch {
	case n <= 8:
		return key{shortWord(text), 0, uint32(n)}
	case n <= wordTexts:
		return key{load(text, 0), load(text, n-8), uint32(n)}
	}
	return x.long.key(text)
}

func (l *longTexts) key(text string) key {
	if l.by == nil {
		l.seed, l.by = maphash.MakeSeed(), map[uint32]string{}
	}
	return key{maphash.String(l.seed, text), 0, uint32(min(len(text), MaxLine+1))}
}

// code is the number of the text that has the key, or next, under which it is
// entered then.
func (x *textIndex) code(k key, text string, next uint32) (code uint32, found bool) {
	mask := uint64(len(x.places) - 1)
	at := x.hash(k) & mask
	for ; x.places[at].code != 0; at = (at + 1) & mask {
		p := &x.places[at]
		if p.key == k && (k.size <= wordTexts || x.long.by[p.code] == text) {
			return p.code, true
		}
	}
	if k.size > wordTexts {
		x.long.by[next] = strings.Clone(text)
	}
	x.places[at] = place{k, next}
	if x.held++; 2*x.held > len(x.places) {
		x.grow()
	}
	return next, false
}

func (x *textIndex) hash(k key) uint64 {
	hi, lo := bits.Mul64(k.lo^x.seed[0], k.hi^x.seed[1]^uint64(k.size))
	return hi ^ lo
}

func (x *textIndex) grow() {
	before := x.places
	more := 4
	if len(before) >= 4096 {
		more = 2
	}
	x.places = make([]place, more*len(before))
	mask := uint64(len(x.places) - 1)
	for _, p := range before {
		if p.code == 0 {
			continue
		}
		at := x.hash(p.key) & mask
		for x.places[at].code != 0 {
			at = (at + 1) & mask
		}
		x.places[at] = p
	}
}

// load is eight bytes of a text from one on as a number, the first in its lowest
// byte; line feeds stand behind the text's end.
func load(text string, at int) uint64 {
	if at+8 > len(text) {
		return loadEnd(text, at)
	}
	b := text[at : at+8]
	return uint64(b[0]) | uint64(b[1])<<8 | uint64(b[2])<<16 | uint64(b[3])<<24 | uint64(b[4])<<32 | uint64(b[5])<<40 | uint64(b[6])<<48 | uint64(b[7])<<56
}

func loadEnd(text string, at int) uint64 {
	w := uint64(0)
	for i := range 8 {
		c := uint64('\n')
		if at+i < len(text) {
			c = uint64(text[at+i])
		}
		w |= c << (8 * i)
	}
	return w
}

// shortWord is a text of up to eight bytes as a number.
func shortWord(text string) uint64 {
	w := uint64(0)
	for i := range len(text) {
		w |= uint64(text[i]) << (8 * i)
	}
	return w
}
