package workbook

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strconv"

	"github.com/xuri/excelize/v2"
)

// cells are the rows of a sheet as they stand in its part of the file. They are
// written here, and not through the library, since it keeps each cell as a value of
// many fields and turns all of them into text by reflection in the end: nine tenths
// of the time that a workbook took. Rows come in order; the link row alone takes
// further cells later.
type cells struct {
	texts  *texts
	data   []byte
	row    int       // the last one written
	linkAt int       // where in data the cells of the link row end, 0 before there is one
	links  []byte    // further cells of the link row
	widths []float64 // of the columns, in characters
	folded int       // the last so many columns are folded away
	merged []string
	tables []int    // numbers of the tables on the sheet
	names  []string // of the columns
	outer  []outerLink
	begun  []drawn // by column: the last look and its style
}

// drawn is a look and the number of its style.
type drawn struct {
	look  look
	style int
}

// outerLink leads from a cell out of the workbook.
type outerLink struct{ cell, target string }

// blank writes a row without cells; its height is in points.
func (c *cells) blank(row int, height float64) error {
	if err := c.begin(row, height); err != nil {
		return err
	}
	c.data = append(c.data, "</row>"...)
	return nil
}

// begin begins a row; height 0 is the usual one.
func (c *cells) begin(row int, height float64) error {
	if row <= c.row {
		return fmt.Errorf("row %d of a sheet is written after row %d", row, c.row)
	}
	c.row = row
	c.data = strconv.AppendInt(append(c.data, `<row r="`...), int64(row), 10)
	if height > 0 {
		c.data = strconv.AppendFloat(append(c.data, `" ht="`...), height, 'f', -1, 64)
		c.data = append(c.data, `" customHeight="1`...)
	}
	c.data = append(c.data, `">`...)
	return nil
}

// end ends the row that was begun.
func (c *cells) end() {
	if c.row == linkRow {
		c.linkAt = len(c.data)
	}
	c.data = append(c.data, "</row>"...)
}

// column is the name of a column, such as AB.
func (c *cells) column(number int) string {
	for len(c.names) < number {
		name, err := excelize.ColumnNumberToName(len(c.names) + 1)
		if err != nil {
			panic(fmt.Sprintf("workbook: no column %d", len(c.names)+1))
		}
		c.names = append(c.names, name)
	}
	return c.names[number-1]
}

// append appends a cell to a row.
func (c *cells) append(to []byte, col, row, style int, v value) []byte {
	to = append(append(to, `<c r="`...), c.column(col)...)
	to = strconv.AppendInt(to, int64(row), 10)
	if style > 0 {
		to = strconv.AppendInt(append(to, `" s="`...), int64(style), 10)
	}
	switch {
	case v.formula != "":
		return appendFormula(to, v)
	case v.is == isText:
		to = strconv.AppendInt(append(to, `" t="s"><v>`...), int64(c.texts.number(v.text)), 10)
	case v.is == isNumber:
		to = appendNumber(append(to, `"><v>`...), v.number)
	default:
		return append(to, `"/>`...)
	}
	return append(to, "</v></c>"...)
}

// appendFormula ends a cell with a formula and what it gives: readers that don't
// calculate would see an empty cell without it.
func appendFormula(to []byte, v value) []byte {
	kind := `"><f>`
	if v.is != isNumber {
		kind = `" t="str"><f>`
	}
	to = append(appendEscaped(append(to, kind...), v.formula), "</f><v>"...)
	if v.is == isNumber {
		to = appendNumber(to, v.number)
	} else {
		to = appendEscaped(to, v.text)
	}
	return append(to, "</v></c>"...)
}

// appendNumber writes a number without an exponent, to the 15 digits that spreadsheet
// programs keep.
func appendNumber(to []byte, x float64) []byte {
	const kept = 15
	if n := int64(x); float64(n) == x && -1e15 < x && x < 1e15 {
		return strconv.AppendInt(to, n, 10)
	}
	from := len(to)
	to = strconv.AppendFloat(to, x, 'g', kept, 64)
	if bytes.IndexByte(to[from:], 'e') >= 0 {
		to = strconv.AppendFloat(to[:from], x, 'f', -1, 64)
	}
	return to
}

// part are the cells as they go into the sheet's part in place of its empty data.
func (c *cells) part() [][]byte {
	rows := c.data
	out := [][]byte{append(c.columns(), "<sheetData>"...)}
	if c.linkAt > 0 {
		out = append(out, rows[:c.linkAt], c.links)
		rows = rows[c.linkAt:]
	}
	after := []byte("</sheetData>")
	if len(c.merged) > 0 {
		after = fmt.Appendf(after, `<mergeCells count="%d">`, len(c.merged))
		for _, m := range c.merged {
			after = append(append(append(after, `<mergeCell ref="`...), m...), `"/>`...)
		}
		after = append(after, "</mergeCells>"...)
	}
	return append(out, rows, after)
}

// columns are the widths of the columns.
func (c *cells) columns() []byte {
	if len(c.widths) == 0 {
		return nil
	}
	out := []byte("<cols>")
	for i, w := range c.widths {
		away := ""
		if i >= len(c.widths)-c.folded {
			away = ` hidden="1" outlineLevel="1"`
		}
		out = fmt.Appendf(out, `<col min="%d" max="%d" width="%s" customWidth="1"%s/>`, i+1, i+1, strconv.FormatFloat(w, 'f', -1, 64), away)
	}
	return append(out, "</cols>"...)
}

// appendEscaped appends a text as XML has it.
func appendEscaped(to []byte, text string) []byte {
	for i := range len(text) {
		switch b := text[i]; {
		case b >= 0x80, b < ' ', b == '"', b == '\'', b == '&', b == '<', b == '>':
			into := escaping{to}
			// It fails where writing does, which appending does not.
			_ = xml.EscapeText(&into, []byte(text))
			return into.bytes
		}
	}
	return append(to, text...)
}

// escaping takes what xml.EscapeText writes.
type escaping struct{ bytes []byte }

func (e *escaping) Write(p []byte) (int, error) {
	e.bytes = append(e.bytes, p...)
	return len(p), nil
}
