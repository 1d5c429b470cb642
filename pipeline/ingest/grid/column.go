package grid

// pageRows is how many rows of a column are kept in one piece. A piece in which
// the column has no content is not kept, so that one cell far down or far to the
// right costs little.
const pageRows = 512

// probation is how many different texts a column may hold before it is asked
// whether looking each cell up is worth while.
const probation = 2048

// column keeps what stands in one column of a sheet: each different text once,
// and for every row the number of its text. Logs repeat themselves, so that
// later stages read each text once and not once a row.
type column struct {
	pages  []*[pageRows]uint32
	texts  []string          // texts[0] is the empty cell
	codes  map[string]uint32 // of the texts; nil once hardly any came twice
	hits   int               // cells whose text was there already, on probation
	last   uint32            // the text of the cell before
	weight int               // slots that its pages take
}

func newColumn() *column {
	return &column{texts: []string{""}, codes: map[string]uint32{}}
}

// code is the number of a text, which is new to the column or not.
func (c *column) code(text string) uint32 {
	if text == c.texts[c.last] {
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
	k := uint32(len(c.texts))
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
	at := row / pageRows
	if code == 0 && (at >= len(c.pages) || c.pages[at] == nil) {
		return
	}
	for at >= len(c.pages) {
		c.pages = append(c.pages, nil)
		c.weight += 2
	}
	if c.pages[at] == nil {
		c.pages[at] = new([pageRows]uint32)
		c.weight += pageRows
	}
	c.pages[at][row%pageRows] = code
}

// at is the number of the text in a row, 0 where the cell is empty.
func (c *column) at(row int) uint32 {
	page := row / pageRows
	if page >= len(c.pages) || c.pages[page] == nil {
		return 0
	}
	return c.pages[page][row%pageRows]
}
