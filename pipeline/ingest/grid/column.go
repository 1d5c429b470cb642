package grid

// PageRows is how many rows of a column are kept in one piece. A piece in which
// the column has no content is not kept, so that one cell far down or far to the
// right costs little.
const PageRows = 512

// probation is how many different texts a column may hold before it is asked
// whether looking each cell up is worth while.
const probation = 2048

// column keeps what stands in one column of a sheet: each different text once,
// and for every row the number of its text. Logs repeat themselves, so that
// later stages read each text once and not once a row. A column of a file that
// knows its types keeps numbers in place of texts.
type column struct {
	pages  []page
	texts  []string   // texts[0] is the empty cell
	index  *textIndex // of the texts; nil once hardly any came twice
	once   onceTexts  // the texts after those, once hardly any came twice in a large file
	hits   int        // cells whose text was there already, on probation
	last   uint32     // the text of the cell before
	weight int        // slots that its pages take
	filled int        // cells with content
	typed  *typed     // in place of texts, nil where it has texts
}

func newColumn() *column {
	return &column{texts: []string{""}, index: newIndex()}
}

// text is the text with a number.
func (c *column) text(code uint32) string {
	if c.typed != nil {
		return c.typed.text(code)
	}
	if int(code) < len(c.texts) {
		return c.texts[code]
	}
	return c.once.text(code - uint32(len(c.texts)))
}

// count is above all numbers of texts.
func (c *column) count() int {
	if c.typed != nil {
		return len(c.typed.values)
	}
	return len(c.texts) + len(c.once.refs)
}

// code is the number of a text, which is new to the column or not.
func (c *column) code(text string) uint32 { return c.codeOf(text, nil) }

// codeOf is the number of a text; one that is new is kept as keep makes it, so
// that it does not hold on to what it is a part of.
func (c *column) codeOf(text string, keep func(string) string) uint32 {
	if text == c.text(c.last) {
		c.hits++
		return c.last
	}
	if text == "" {
		return 0
	}
	next := uint32(c.count())
	if c.index != nil {
		k, found := c.index.code(c.index.key(text), text, next)
		if found {
			c.hits++
			c.last = k
			return k
		}
	}
	c.last = next
	if keep != nil && c.index == nil {
		c.once.add(text)
		return next
	}
	if keep != nil {
		text = keep(text)
	}
	c.texts = append(c.texts, text)
	if c.index != nil && len(c.texts)%probation == 0 && c.hits < len(c.texts)/2 {
		c.index = nil // numbers of casts, readings with many digits: each its own
	}
	return next
}

// set puts a text's number into a row.
func (c *column) set(row int, code uint32) {
	if code == 0 && (row/PageRows >= len(c.pages) || c.pages[row/PageRows].codes == nil) {
		return
	}
	p := c.page(row/PageRows, code)
	c.filled++
	p.set(row%PageRows, code)
}

// fill puts the numbers of texts, of which most is the largest and cells are not 0,
// into rows that had none.
func (c *column) fill(row int, codes []uint32, most uint32, cells int) {
	c.filled += cells
	for len(codes) > 0 {
		from := row % PageRows
		n := min(len(codes), PageRows-from)
		c.page(row/PageRows, most).fill(from, codes[:n])
		row, codes = row+n, codes[n:]
	}
}

// page is a page of the column with room for numbers up to one.
func (c *column) page(at int, most uint32) *page {
	for at >= len(c.pages) {
		c.pages = append(c.pages, page{})
		c.weight += 4
	}
	p := &c.pages[at]
	if p.codes == nil {
		c.weight += PageRows
	}
	p.widen(most)
	return p
}

// at is the number of the text in a row, 0 where the cell is empty.
func (c *column) at(row int) uint32 {
	if k := row / PageRows; k < len(c.pages) {
		return c.pages[k].at(row % PageRows)
	}
	return 0
}

// codes are the numbers of the texts of rows from one on, as many as room holds.
func (c *column) codes(from int, room []uint32) {
	for len(room) > 0 {
		at := from % PageRows
		n := min(len(room), PageRows-at)
		if k := from / PageRows; k < len(c.pages) {
			c.pages[k].read(at, room[:n])
		} else {
			clear(room[:n])
		}
		from, room = from+n, room[n:]
	}
}

// forget gives up the pages that rows from one up to another fill.
func (c *column) forget(from, to int) {
	for k := (from + PageRows - 1) / PageRows; k < to/PageRows && k < len(c.pages); k++ {
		c.pages[k] = page{}
	}
}
