package grid

import (
	"bytes"
	"encoding/xml"
	"io"
	"path"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Part is a sheet as it is stored in a workbook. It is looked at for what
// the row reader does not tell: formulas without a value, merged cells, and
// whether the reader came to the end. Nil where the sheet is too large to hold.
type Part []byte

// partsOf finds the stored form of every sheet.
func partsOf(f *excelize.File) map[string]Part {
	var workbook struct {
		Sheets []struct {
			Name string `xml:"name,attr"`
			ID   string `xml:"http://schemas.openxmlformats.org/officeDocument/2006/relationships id,attr"`
		} `xml:"sheets>sheet"`
	}
	var links struct {
		Links []struct {
			ID     string `xml:"Id,attr"`
			Target string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	parts := map[string]Part{}
	if xml.Unmarshal(stored(f, "xl/workbook.xml"), &workbook) != nil || xml.Unmarshal(stored(f, "xl/_rels/workbook.xml.rels"), &links) != nil {
		return parts
	}
	for _, s := range workbook.Sheets {
		for _, l := range links.Links {
			if l.ID != s.ID {
				continue
			}
			target := path.Join("xl", l.Target)
			if strings.HasPrefix(l.Target, "/") {
				target = strings.TrimPrefix(l.Target, "/")
			}
			parts[s.Name] = stored(f, target)
		}
	}
	return parts
}

func stored(f *excelize.File, name string) []byte {
	content, _ := f.Pkg.Load(name)
	data, _ := content.([]byte)
	return data
}

// lastRow is the number of the last row that is stored, 0 where that cannot be told.
func (p Part) lastRow() int {
	for rest := []byte(p); ; {
		i := bytes.LastIndex(rest, []byte("<row "))
		if i < 0 {
			return 0
		}
		tag := p[i:]
		if end := bytes.IndexByte(tag, '>'); end > 0 {
			if _, after, ok := bytes.Cut(tag[:end], []byte(` r="`)); ok {
				digits, _, _ := bytes.Cut(after, []byte(`"`))
				n, err := strconv.Atoi(string(digits))
				if err == nil {
					return n
				}
			}
		}
		rest = rest[:i]
	}
}

// rows counts the rows that are stored.
func (p Part) rows() int { return bytes.Count(p, []byte("<row>")) + bytes.Count(p, []byte("<row ")) }

// Span is a rectangle of merged cells, rows and columns inclusive; rows from
// 1, columns from 0.
type Span struct{ Top, Left, Bottom, Right int }

// SecondLook is what the stored form tells beside the rows.
type SecondLook struct {
	Formulas map[CellAt]bool // cells with a formula and no value
	Merged   []Span
}

type CellAt struct{ Row, Col int } // row from 1, column from 0

// Look scans the stored form, if there is anything to find in it.
func (p Part) Look() SecondLook {
	var l SecondLook
	formulas := bytes.Contains(p, []byte("<f>")) || bytes.Contains(p, []byte("<f ")) || bytes.Contains(p, []byte("<f/")) || bytes.Contains(p, []byte(":f>"))
	if !formulas && !bytes.Contains(p, []byte("mergeCell")) {
		return l
	}
	l.Formulas = map[CellAt]bool{}
	d := xml.NewDecoder(bytes.NewReader(p))
	d.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	var at, inside string
	var formula, filled bool
	for {
		token, err := d.Token()
		if err != nil {
			return l
		}
		switch e := token.(type) {
		case xml.StartElement:
			inside = e.Name.Local
			switch inside {
			case "c":
				at, formula, filled = attribute(e, "r"), false, false
			case "f":
				formula = true
			case "mergeCell":
				if s, ok := spanOf(attribute(e, "ref")); ok {
					l.Merged = append(l.Merged, s)
				}
			}
		case xml.CharData:
			filled = filled || (inside == "v" || inside == "t") && len(e) > 0
		case xml.EndElement:
			inside = ""
			if e.Name.Local != "c" || !formula || filled {
				continue
			}
			if col, row, err := excelize.CellNameToCoordinates(at); err == nil {
				l.Formulas[CellAt{Row: row, Col: col - 1}] = true
			}
		}
	}
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func spanOf(ref string) (Span, bool) {
	from, to, ok := strings.Cut(ref, ":")
	left, top, err1 := excelize.CellNameToCoordinates(from)
	right, bottom, err2 := excelize.CellNameToCoordinates(to)
	return Span{top, left - 1, bottom, right - 1}, ok && err1 == nil && err2 == nil && top <= bottom && left <= right
}
