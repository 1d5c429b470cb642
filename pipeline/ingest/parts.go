package ingest

import (
	"bytes"
	"encoding/xml"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// sheetPart is a sheet as it is stored in a workbook. It is looked at for what
// the row reader does not tell: formulas without a value, merged cells, and
// whether the reader came to the end. Nil where the sheet is too large to hold.
type sheetPart []byte

// partsOf finds the stored form of every sheet.
func partsOf(f *excelize.File) map[string]sheetPart {
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
	parts := map[string]sheetPart{}
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
func (p sheetPart) lastRow() int {
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

// span is a rectangle of merged cells, rows and columns inclusive; rows from
// 1, columns from 0.
type span struct{ top, left, bottom, right int }

// secondLook is what the stored form tells beside the rows.
type secondLook struct {
	formulas map[cellAt]bool // cells with a formula and no value
	merged   []span
}

type cellAt struct{ row, col int }

// look scans the stored form, if there is anything to find in it.
func (p sheetPart) look() secondLook {
	var l secondLook
	formulas := bytes.Contains(p, []byte("<f>")) || bytes.Contains(p, []byte("<f ")) || bytes.Contains(p, []byte("<f/")) || bytes.Contains(p, []byte(":f>"))
	if !formulas && !bytes.Contains(p, []byte("mergeCell")) {
		return l
	}
	l.formulas = map[cellAt]bool{}
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
					l.merged = append(l.merged, s)
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
				l.formulas[cellAt{row, col - 1}] = true
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

func spanOf(ref string) (span, bool) {
	from, to, ok := strings.Cut(ref, ":")
	left, top, err1 := excelize.CellNameToCoordinates(from)
	right, bottom, err2 := excelize.CellNameToCoordinates(to)
	return span{top, left - 1, bottom, right - 1}, ok && err1 == nil && err2 == nil && top <= bottom && left <= right
}

// fillMerged writes the value of cells that are merged downwards into the rows
// below the first, for the block's columns: a date merged over the casts of a day
// is the date of each. It returns the number of cells filled.
func (b *block) fillMerged(merged []span) int {
	filled := 0
	rows := b.sheet.rows
	for _, m := range merged {
		if m.bottom == m.top || m.right > maxColumns || !b.uses(m.left) {
			continue
		}
		first, ok := slices.BinarySearchFunc(rows, m.top, byNumber)
		if !ok || first < b.from || first >= b.to || rows[first].cell(m.left) == "" {
			continue
		}
		text := rows[first].cells[m.left]
		for i := first + 1; i < b.to && rows[i].number <= m.bottom; i++ {
			if rows[i].cell(m.left) != "" {
				continue
			}
			for len(rows[i].cells) <= m.left {
				rows[i].cells = append(rows[i].cells, "")
			}
			rows[i].cells[m.left] = text
			filled++
		}
	}
	return filled
}

func byNumber(r sheetRow, n int) int { return r.number - n }

func (b *block) uses(at int) bool {
	return at < len(b.columns) && b.columns[at].used
}
