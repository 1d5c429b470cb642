package plain

import (
	"io"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
)

// CSV writes a record as RFC 4180 CSV with a header line and LF line ends; nulls are
// empty cells. Numbers are written in full, so that reading them back is exact.
func CSV(w io.Writer, rec arrow.Record) error {
	c := newCSV(w)
	if err := c.Write(rec); err != nil {
		return err
	}
	return c.Close()
}

// csvFile takes records below one header line.
type csvFile struct {
	out    io.Writer
	buffer []byte
	headed bool
}

func newCSV(w io.Writer) *csvFile { return &csvFile{out: w} }

// flushAt is how many bytes are handed on at a time.
const flushAt = 1 << 16

func (c *csvFile) Write(rec arrow.Record) error {
	if !c.headed {
		for j, f := range rec.Schema().Fields() {
			c.next(j)
			c.buffer = appendText(c.buffer, f.Name)
		}
		c.buffer, c.headed = append(c.buffer, '\n'), true
	}
	cells, gaps := make([]func(into []byte, i int) []byte, rec.NumCols()), make([]bool, rec.NumCols())
	for j := range cells {
		cells[j], gaps[j] = cellsOf(rec.Column(j)), rec.Column(j).NullN() > 0
	}
	for i := range int(rec.NumRows()) {
		for j, cell := range cells {
			c.next(j)
			if !gaps[j] || !rec.Column(j).IsNull(i) {
				c.buffer = cell(c.buffer, i)
			}
		}
		if c.buffer = append(c.buffer, '\n'); len(c.buffer) >= flushAt {
			if err := c.flush(); err != nil {
				return err
			}
		}
	}
	return nil
}

func (c *csvFile) next(column int) {
	if column > 0 {
		c.buffer = append(c.buffer, ',')
	}
}

func (c *csvFile) flush() error {
	_, err := c.out.Write(c.buffer)
	c.buffer = c.buffer[:0]
	return err
}

// Close hands on what is left.
func (c *csvFile) Close() error { return c.flush() }

// cellsOf appends elements of a column. Text that a spreadsheet program would take
// for a formula gets an apostrophe in front, the mark by which such programs know
// text.
func cellsOf(a arrow.Array) func(into []byte, i int) []byte {
	switch a := a.(type) {
	case *array.String:
		last, written := "", []byte(nil) // many columns repeat what stands above
		return func(into []byte, i int) []byte {
			if s := a.Value(i); s != last {
				last, written = s, appendText(written[:0], guarded(s))
			}
			return append(into, written...)
		}
	case *array.Float64:
		return func(into []byte, i int) []byte { return appendNumber(into, a.Value(i)) }
	case *array.Int32:
		return func(into []byte, i int) []byte { return strconv.AppendInt(into, int64(a.Value(i)), 10) }
	case *array.Date32:
		var days days
		return func(into []byte, i int) []byte { return days.append(into, a.Value(i)) }
	}
	return func(into []byte, i int) []byte { return appendText(into, a.ValueStr(i)) }
}

func guarded(text string) string {
	if text != "" {
		switch text[0] {
		case '=', '+', '-', '@', '\t', '\r':
			return "'" + text
		}
	}
	return text
}

// appendText quotes text by the rules of encoding/csv, which a test holds.
func appendText(into []byte, text string) []byte {
	if !quoted(text) {
		return append(into, text...)
	}
	into = append(into, '"')
	for {
		at := strings.IndexByte(text, '"')
		if at < 0 {
			break
		}
		into, text = append(append(into, text[:at]...), '"', '"'), text[at+1:]
	}
	return append(append(into, text...), '"')
}

func quoted(text string) bool {
	if text == "" {
		return false
	}
	if text == `\.` || strings.ContainsAny(text, ",\"\r\n") {
		return true
	}
	first, _ := utf8.DecodeRuneInString(text)
	return unicode.IsSpace(first)
}
