package grid

import (
	"math/bits"
	"slices"
	"strings"
	"unicode/utf8"

	"moldwright/pipeline/ingest/quantity"
)

// lineReader parts pieces of text without quotation marks into cells on one core:
// every line is a row there, and every separator parts two cells. It knows the texts
// of the pieces that it has read before, so that it names only those that are new.
type lineReader struct {
	number  int // of the reader
	sep     byte
	columns []*lineColumn
}

// lineColumn is what a reader knows of one column.
type lineColumn struct {
	index *textIndex
	count uint32 // above the numbers that were given; 0 is the empty cell
	last  key    // of the last cell whose key tells its text
	code  uint32 // of that cell
	once  bool   // hardly any text comes twice: none is looked up any more
	cells int    // with content so far
	start int    // … before the piece under way

	page   *linePage // of the row under way, nil where the piece has none yet
	pageAt int
}

// linePage are the numbers of texts of some rows, as the reader gave them.
type linePage [PageRows]uint32

// piece is what a piece of text was parted into.
type piece struct {
	reader  int // who numbered the texts
	lines   int
	numbers []int32 // of its rows
	widths  []uint16
	columns []pieceColumn
	wider   int         // rows with content beyond MaxColumns
	spare   []*linePage // pages that can be filled again, all 0
	once    []bool      // by column: not to be looked up any more
}

// pieceColumn is one column of a piece.
type pieceColumn struct {
	pages []*linePage
	fresh []string // texts that are new to the reader, parts of the text that was read
	base  uint32   // number of the first of them
	cells int      // with content
	once  bool
}

// clear makes a piece ready to be filled again.
func (p *piece) clear() {
	for at := range p.columns {
		c := &p.columns[at]
		for _, page := range c.pages {
			if page != nil {
				clear(page[:])
				p.spare = append(p.spare, page)
			}
		}
		clear(c.fresh)
		*c = pieceColumn{pages: c.pages[:0], fresh: c.fresh[:0]}
	}
	*p = piece{numbers: p.numbers[:0], widths: p.widths[:0], columns: p.columns[:0], spare: p.spare, once: p.once}
}

// begin starts a row and gives its index.
func (p *piece) begin() int {
	p.numbers, p.widths = append(p.numbers, int32(p.lines)), append(p.widths, 0)
	return len(p.numbers) - 1
}

// beyond counts a row, which is begun where it is not yet, that is wider than what is
// read.
func (p *piece) beyond(row int) int {
	if row < 0 {
		row = p.begin()
	}
	p.wider++
	return row
}

// page is a page of a column.
func (p *piece) page(at, k int) *linePage {
	c := &p.columns[at]
	for len(c.pages) <= k {
		c.pages = append(c.pages, nil)
	}
	if n := len(p.spare); c.pages[k] == nil && n > 0 {
		c.pages[k], p.spare = p.spare[n-1], p.spare[:n-1]
	} else if c.pages[k] == nil {
		c.pages[k] = new(linePage)
	}
	return c.pages[k]
}

// trial is after how many different texts of a column a reader asks itself whether
// looking them up is worth while, before the pieces are put together.
const trial = 4 * probation

// eachByte repeats a byte eight times.
const eachByte = 0x0101010101010101

// zeros has the highest bit of the lowest byte set that is 0, and none below.
func zeros(w uint64) uint64 { return (w - eachByte) &^ w & (0x80 * eachByte) }

// read parts a text, which ends with a line. It looks at eight bytes at a time: most
// cells are no longer, so that the bytes in which their end was found are their key too.
func (r *lineReader) read(text string, p *piece) {
	lines := 1 + strings.Count(text, "\n")
	p.numbers, p.widths = slices.Grow(p.numbers, lines), slices.Grow(p.widths, lines)
	r.begin(p)
	seps, feeds := eachByte*uint64(r.sep), eachByte*uint64('\n')
	for at := 0; at < len(text); {
		p.lines++
		row, width := -1, 0
		for c := 0; ; c++ {
			start := at
			first := load(text, at)
			found := zeros(first^seps) | zeros(first^feeds)
			for found == 0 {
				at += 8
				next := load(text, at)
				found = zeros(next^seps) | zeros(next^feeds)
			}
			end := at + bits.TrailingZeros64(found)>>3
			at = end + 1
			if end > start {
				cell := text[start:end]
				if c >= len(r.columns) && quantity.Clean(cell) != "" && !r.widen(p, c) {
					row = p.beyond(row)
					at = start + lineEnd(text[start:])
					break
				}
				if c < len(r.columns) {
					if code := r.cell(p, c, first, cell); code != 0 {
						if row < 0 {
							row = p.begin()
						}
						r.put(p, c, row, code)
						width = c + 1
					}
				}
			}
			if end >= len(text) || text[end] == '\n' {
				break
			}
		}
		if row >= 0 {
			p.widths[row] = uint16(width)
		}
	}
	for at := range p.columns {
		p.columns[at].cells = r.columns[at].cells - r.columns[at].start
	}
}

// lineEnd is how many bytes a line takes, with its line feed.
func lineEnd(text string) int {
	if i := strings.IndexByte(text, '\n'); i >= 0 {
		return i + 1
	}
	return len(text)
}

// cell is the number of the text of a cell, whose first eight bytes are known, 0 for
// one that is only space.
func (r *lineReader) cell(p *piece, at int, first uint64, text string) uint32 {
	k := key{first, 0, uint32(len(text))}
	switch n := len(text); {
	case n < 8:
		k.lo &= 1<<(8*n) - 1
	case n > 8 && n <= wordTexts:
		k.hi = load(text, n-8)
	}
	col := r.columns[at]
	if k == col.last {
		return col.code
	}
	if c := text[len(text)-1]; len(text) <= wordTexts && text[0] > ' ' && text[0] < utf8.RuneSelf && c > ' ' && c < utf8.RuneSelf {
		return r.look(p, at, k, text)
	}
	if text = quantity.Clean(text); text == "" {
		return 0
	}
	return r.look(p, at, col.key(text), text)
}

// key is the key of a text; where no text is looked up, long ones need none.
func (c *lineColumn) key(text string) key {
	if c.index == nil {
		return key{}
	}
	return c.index.key(text)
}

// look is the number of a text without space around it.
func (r *lineReader) look(p *piece, at int, k key, text string) uint32 {
	col, of := r.columns[at], &p.columns[at]
	code, known := of.base+uint32(len(of.fresh)), false
	if !of.once {
		code = col.count
		if !col.once {
			code, known = col.index.code(k, text, code)
		}
		if !known {
			col.count++
			col.once = col.once || col.count == trial && col.cells < trial+trial/8
		}
	}
	if !known {
		of.fresh = append(of.fresh, text)
	}
	if k.size > 0 && k.size <= wordTexts {
		col.last, col.code = k, code
	}
	return code
}

// put writes a number into a row of the piece.
func (r *lineReader) put(p *piece, at, row int, code uint32) {
	col := r.columns[at]
	if k := row / PageRows; col.page == nil || col.pageAt != k {
		col.page, col.pageAt = p.page(at, k), k
	}
	col.page[row%PageRows] = code
	col.cells++
}

// widen makes room for the columns up to one; false where it lies beyond what is read.
func (r *lineReader) widen(p *piece, at int) bool {
	if at >= MaxColumns {
		return false
	}
	for at >= len(r.columns) {
		r.columns = append(r.columns, &lineColumn{index: newIndex(), count: 1})
	}
	r.match(p)
	return true
}

// match gives the piece as many columns as the reader has.
func (r *lineReader) match(p *piece) {
	for at := len(p.columns); at < len(r.columns); at++ {
		col := r.columns[at]
		if at < cap(p.columns) {
			p.columns = p.columns[:at+1] // with its rooms
		} else {
			p.columns = append(p.columns, pieceColumn{})
		}
		of := &p.columns[at]
		if col.once = col.once || at < len(p.once) && p.once[at]; col.once {
			col.index, col.last = nil, key{} // numbers without a look-up hold in their piece only
		}
		of.base, of.once = col.count, col.once
		col.page, col.start = nil, col.cells
	}
}

func (r *lineReader) begin(p *piece) {
	p.reader = r.number
	r.match(p)
}
