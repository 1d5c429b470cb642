package grid

import (
	"bytes"
	"encoding/xml"
	"io"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// StoredAs is what a spreadsheet takes the numbers of a column for. It shows
// only in their format: 45 % and 0.45, 1:05 and 0.0451 are stored alike.
type StoredAs int

const (
	AsNumber StoredAs = iota
	AsPercent
	AsTime
	AsDate
	AsSomeTimes // plain numbers and times, as where 20 and 0:22 were typed below each other
)

// formatDepth is how many rows of data are looked at for the formats of columns.
const FormatDepth = 500

// Formats tells for each column of the sheet what most of its numbers in the
// rows from..to are taken for, by styles, which gives the meaning of a style's
// number, or that there are some times among plain numbers. Columns of plain numbers
// are left out.
func (p Part) Formats(from, to int, styles func(int) StoredAs) map[int]StoredAs {
	counts := map[int]*[AsDate + 1]int{}
	d := xml.NewDecoder(bytes.NewReader(p))
	d.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	for {
		token, err := d.Token()
		if err != nil {
			break
		}
		e, ok := token.(xml.StartElement)
		if !ok || e.Name.Local != "c" || attribute(e, "t") != "" && attribute(e, "t") != "n" {
			continue
		}
		col, row, err := excelize.CellNameToCoordinates(attribute(e, "r"))
		if err != nil || row < from {
			continue
		}
		if row > to {
			break
		}
		var content struct {
			V string `xml:"v"`
		}
		if d.DecodeElement(&content, &e) != nil {
			break
		}
		if content.V == "" {
			continue
		}
		style, _ := strconv.Atoi(attribute(e, "s"))
		if counts[col-1] == nil {
			counts[col-1] = new([AsDate + 1]int)
		}
		counts[col-1][styles(style)]++
	}
	out := map[int]StoredAs{}
	for col, n := range counts {
		if n[AsTime] > 0 && n[AsTime]+n[AsNumber] == n[AsNumber]+n[AsPercent]+n[AsTime]+n[AsDate] {
			out[col] = AsSomeTimes
		}
		for as := AsPercent; as <= AsDate; as++ {
			if 2*n[as] > n[AsNumber]+n[AsPercent]+n[AsTime]+n[AsDate] {
				out[col] = as
			}
		}
	}
	return out
}

// styleReader gives the meaning of the styles of a workbook.
func styleReader(f *excelize.File) func(int) StoredAs {
	known := map[int]StoredAs{}
	return func(style int) StoredAs {
		as, ok := known[style]
		if ok {
			return as
		}
		as = readStyle(f, style)
		known[style] = as
		return as
	}
}

// readStyle looks a style up. A damaged style table is no reason to lose the
// numbers of a sheet: they are then plain.
func readStyle(f *excelize.File, style int) (as StoredAs) {
	defer func() {
		if recover() != nil {
			as = AsNumber
		}
	}()
	s, err := f.GetStyle(style)
	switch {
	case err != nil || s == nil:
		return AsNumber
	case s.CustomNumFmt != nil:
		return MeaningOfCode(*s.CustomNumFmt)
	}
	return meaningOf(s.NumFmt)
}

// meaningOf is the meaning of a format that has no code of its own
// (ECMA-376 part 1, section 18.8.30).
func meaningOf(format int) StoredAs {
	switch {
	case format == 9 || format == 10:
		return AsPercent
	case format >= 14 && format <= 17, format == 22, format >= 27 && format <= 31, format == 36, format >= 50 && format <= 58:
		return AsDate
	case format >= 18 && format <= 21, format >= 45 && format <= 47, format >= 32 && format <= 35:
		return AsTime
	}
	return AsNumber
}

// MeaningOfCode reads a format code such as [h]:mm or 0.0%.
func MeaningOfCode(code string) StoredAs {
	code, _, _ = strings.Cut(code, ";")
	var b strings.Builder
	quoted, bracketed, escaped := false, false, false
	var inside strings.Builder
	for _, r := range strings.ToLower(code) {
		switch {
		case escaped:
			escaped = false
		case r == '\\' || r == '_' || r == '*':
			escaped = true
		case r == '"':
			quoted = !quoted
		case quoted:
		case r == '[':
			bracketed = true
			inside.Reset()
		case r == ']':
			bracketed = false
			if s := inside.String(); s != "" && strings.Trim(s, "hms") == "" {
				b.WriteString(s)
			}
		case bracketed:
			inside.WriteRune(r)
		default:
			b.WriteRune(r)
		}
	}
	signs := strings.ReplaceAll(b.String(), "general", "")
	switch {
	case strings.Contains(signs, "%"):
		return AsPercent
	case strings.ContainsAny(signs, "dy"):
		return AsDate
	case strings.ContainsAny(signs, "hs") || strings.Contains(signs, "m"):
		return AsTime
	}
	return AsNumber
}
