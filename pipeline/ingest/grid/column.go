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
	texts  []string          // texts[0] is the empty cell
	codes  map[string]uint32 // of the texts; nil once hardly any came twice
	once   onceTexts         // the texts after those, once hardly any came twice in a large file
	hits   int               // cells whose text was there already, on probation
	last   uint32            // the text of the cell before
	weight int               // slots that its pages take
	filled int               // cells with content
	typed  *typed            // in place of texts, nil where it has texts
}

// page is a piece of a column: the numbers of texts in two bytes each, or in
// four where there are too many texts for that.
type page struct {
	two  *[PageRows]uint16
	four *[PageRows]uint32
}

func (p page) at(i int) uint32 {
	switch {
	case p.two != nil:
		return uint32(p.two[i])
	case p.four != nil:
		return p.four[i]
	}
	return 0
}

func newColumn() *column {
	return &column{texts: []string{""}, codes: map[string]uint32{}}
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
	if c.codes != nil {
		if k, ok := c.codes[text]; ok {
			c.hits++
			c.last = k
			return k
		}
	}
	k := uint32(c.count())
	if keep != nil && c.codes == nil {
		c.once.add(text)
		c.last = k
		return k
	}
	if keep != nil {
		text = keep(text)
	}
	c.texts = append(c.texts, text)
	c.last = k
	if c.codes != nil {
		c.codes[text] = k
		if len(c.texts)%probation == 0 && c.hits < len(c.texts)/2 {
			c.codes = nil // numbers of casts, readings with many digits: each its own
		}
	}
	return k
}

// set puts a text's number into a row.
func (c *column) set(row int, code uint32) {
	at := row / PageRows
	if code == 0 && (at >= len(c.pages) || c.pages[at] == page{}) {
		return
	}
	for at >= len(c.pages) {
		c.pages = append(c.pages, page{})
		c.weight += 4
	}
	p := &c.pages[at]
	switch {
	case *p == page{} && code <= 0xffff:
		p.two = new([PageRows]uint16)
		c.weight += PageRows
	case *p == page{}:
		p.four = new([PageRows]uint32)
		c.weight += PageRows
	case p.two != nil && code > 0xffff:
		p.four = new([PageRows]uint32)
		for i, k := range p.two {
			p.four[i] = uint32(k)
		}
		p.two = nil
	}
	c.filled++
	if p.two != nil {
		p.two[row%PageRows] = uint16(code)
		return
	}
	p.four[row%PageRows] = code
}

// at is the number of the text in a row, 0 where the cell is empty.
func (c *column) at(row int) uint32 {
	if k := row / PageRows; k < len(c.pages) {
		return c.pages[k].at(row % PageRows)
	}
	return 0
}
