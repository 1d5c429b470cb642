package grid

import (
	"bytes"
	"context"
	"encoding/csv"
	"io"
	"strings"
	"unsafe"
)

// Score says how much a sheet looks like a log: the number of its columns whose
// headers are known. It tells the sign that parts the cells of a text file from
// others that stand in it too.
type Score func(*Sheet) int

// ReadCSV reads a text file of rows: encoding and separator are worked out.
func ReadCSV(ctx context.Context, name string, data []byte, score Score) (Book, error) {
	text, encoding, why := decodeText(data)
	if why != "" {
		return unreadable(why), nil
	}
	if bytes.IndexByte(text, '\n') < 0 && bytes.IndexByte(text, '\r') >= 0 {
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
	}
	if lineAbove(text, MaxLine) {
		return unreadable("the file has a line of more than 16 MiB, as no log has"), nil
	}
	sep := separator(text, strings.HasSuffix(strings.ToLower(name), ".tsv"), score)
	s := &Sheet{Text: true, Semicolons: sep == ';'}
	if err := s.readRecords(ctx, text, sep); err != nil {
		return Book{}, err
	}
	return Book{Sheets: []*Sheet{s}, Encoding: encoding}, nil
}

// lineAbove reports whether a line is longer than so many bytes.
func lineAbove(text []byte, most int) bool {
	for len(text) > most {
		end := bytes.LastIndexByte(text[:most+1], '\n')
		if end < 0 {
			return true
		}
		text = text[end+1:]
	}
	return false
}

// readRecords reads the rows. Row numbers are those that a spreadsheet program
// would show: a line break inside quotation marks begins no row, an empty line
// is one. Only a cancelled context is an error.
func (s *Sheet) readRecords(ctx context.Context, text []byte, sep rune) error {
	if bytes.IndexByte(text, '"') < 0 {
		// The bytes are nobody else's and are not written again, so that the
		// text may share them; a copy would double the memory of a large file.
		return s.readPlain(ctx, unsafe.String(unsafe.SliceData(text), len(text)), byte(sep))
	}
	return s.readQuoted(ctx, text, sep)
}

// readQuoted reads a text in which quotation marks may stand.
func (s *Sheet) readQuoted(ctx context.Context, text []byte, sep rune) error {
	r := newCSV(text, sep)
	inner := 0 // line breaks inside cells so far
	for n := 0; ; n++ {
		if n%1024 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		from := r.InputOffset()
		record, err := r.Read()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			// With lazy quotes no text is a syntax error; should one come all
			// the same, the rest cannot be trusted.
			s.Stop = Stop{s.lastNumber() + 1, err.Error()}
			return nil
		}
		line, _ := r.FieldPos(0)
		number := line - inner
		breaks := lineBreaks(record)
		if raw := text[from:r.InputOffset()]; breaks > 0 && !closed(raw, sep) {
			s.addLines(raw, sep, number)
			continue
		}
		inner += breaks
		s.add(number, record)
	}
}

func newCSV(text []byte, sep rune) *csv.Reader {
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma = sep
	r.FieldsPerRecord = -1
	r.LazyQuotes = true // 3/16" is a length, not an error
	r.TrimLeadingSpace = sep != '\t'
	return r
}

func lineBreaks(record []string) int {
	n := 0
	for _, f := range record {
		n += strings.Count(f, "\n")
	}
	return n
}

// closed reports whether the quotation marks of a record are in order.
func closed(raw []byte, sep rune) bool {
	r := newCSV(raw, sep)
	r.LazyQuotes = false
	_, err := r.Read()
	return err == nil
}

// addLines reads a record whose quotation mark was not closed line by line, so
// that it swallows no more than its own row.
func (s *Sheet) addLines(raw []byte, sep rune, number int) {
	start := len(raw) - len(bytes.TrimLeft(raw, "\r\n"))
	for i, line := range bytes.Split(bytes.TrimRight(raw[start:], "\r\n"), []byte("\n")) {
		record, err := newCSV(line, sep).Read()
		if err != nil {
			record = []string{string(line)}
		}
		if i == 0 {
			s.BrokenQuotes = append(s.BrokenQuotes, number)
		}
		s.add(number+i, record)
	}
}

func (s *Sheet) lastNumber() int {
	if s.Len() == 0 {
		return 0
	}
	return s.Number(s.Len() - 1)
}

// separator works out what parts the cells: the sign with which the beginning of
// the file shows a header with most columns of a table, else the one that parts
// the lines most evenly. A first line such as sep=; states it.
func separator(text []byte, tabs bool, score Score) rune {
	if first, _, _ := bytes.Cut(text, []byte("\n")); len(first) < 8 {
		if sign, ok := strings.CutPrefix(strings.TrimSpace(strings.ToLower(string(first))), "sep="); ok && len(sign) == 1 && strings.Contains(",;|", sign) {
			return rune(sign[0])
		}
	}
	head := text[:min(len(text), 1<<16)]
	if len(head) < len(text) {
		head = head[:bytes.LastIndexByte(head, '\n')+1]
	}
	signs := []rune{',', ';', '\t', '|'}
	if tabs {
		signs = []rune{'\t', ',', ';', '|'}
	}
	best, bestMatched, bestEven := signs[0], 0, 0
	for _, sep := range signs {
		if bestMatched > 0 && bytes.IndexByte(head, byte(sep)) < 0 {
			continue // one column, of which no more than one can be known
		}
		s := &Sheet{Text: true}
		if s.readRecords(context.Background(), head, sep) != nil {
			continue
		}
		matched, even := score(s), evenness(s)
		if matched > bestMatched || matched == bestMatched && even > bestEven {
			best, bestMatched, bestEven = sep, matched, even
		}
	}
	return best
}

// evenness counts the rows that have the commonest number of cells above one.
func evenness(s *Sheet) int {
	counts := map[int]int{}
	most := 0
	for i := range s.Len() {
		if width := s.widths.at(i); width > 1 {
			counts[width]++
			most = max(most, counts[width])
		}
	}
	return most
}
