package grid

// page is a piece of a column: the numbers of texts in a byte each, or in two or
// four where they are too large for that. It holds a pointer to an array of one of
// these, or nil where all are 0.
type page struct{ codes any }

type (
	bytePage = [PageRows]uint8
	twoPage  = [PageRows]uint16
	fourPage = [PageRows]uint32
)

func (p page) at(i int) uint32 {
	switch codes := p.codes.(type) {
	case *bytePage:
		return uint32(codes[i])
	case *twoPage:
		return uint32(codes[i])
	case *fourPage:
		return codes[i]
	}
	return 0
}

// widen makes room for numbers up to one.
func (p *page) widen(most uint32) {
	size := 1
	switch p.codes.(type) {
	case *bytePage:
		size = 0xff
	case *twoPage:
		size = 0xffff
	case *fourPage:
		return
	}
	switch {
	case size > 1 && most <= uint32(size):
	case most > 0xffff:
		wide := new(fourPage)
		p.read(0, wide[:])
		p.codes = wide
	case most > 0xff:
		wide := new(twoPage)
		if narrow, ok := p.codes.(*bytePage); ok {
			for i, k := range narrow {
				wide[i] = uint16(k)
			}
		}
		p.codes = wide
	default:
		p.codes = new(bytePage)
	}
}

// set puts a number, for which there must be room, into a row of the page.
func (p page) set(i int, code uint32) {
	switch codes := p.codes.(type) {
	case *bytePage:
		codes[i] = uint8(code)
	case *twoPage:
		codes[i] = uint16(code)
	case *fourPage:
		codes[i] = code
	}
}

// fill puts numbers, for which there must be room, into rows of the page.
func (p page) fill(from int, all []uint32) {
	switch codes := p.codes.(type) {
	case *bytePage:
		narrow(codes[from:from+len(all)], all)
	case *twoPage:
		narrow(codes[from:from+len(all)], all)
	case *fourPage:
		copy(codes[from:], all)
	}
}

func narrow[T uint8 | uint16](to []T, all []uint32) {
	for i := range to {
		to[i] = T(all[i])
	}
}

// read gives the numbers of rows from one on.
func (p page) read(from int, room []uint32) {
	switch codes := p.codes.(type) {
	case *bytePage:
		wide(room, codes[from:from+len(room)])
	case *twoPage:
		wide(room, codes[from:from+len(room)])
	case *fourPage:
		copy(room, codes[from:])
	default:
		clear(room)
	}
}

func wide[T uint8 | uint16](room []uint32, all []T) {
	for i := range room {
		room[i] = uint32(all[i])
	}
}
