package workbook

import (
	"bytes"
	"encoding/xml"
	"fmt"
)

// The library writes one table of a streamed sheet at most, and decodes all former
// tables of the workbook for each new one. So the parts of tables are written here,
// and join those of the library when it has written them.

// tablePart is a table as it stands in the file.
type tablePart struct {
	sheet int // number of its sheet's part
	xml   []byte
}

// addTable makes an area a table with filters.
func (s *sheet) addTable(a area, name string) {
	const header = `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + `<table xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`
	at := ref(1, a.head) + ":" + ref(len(a.heads), a.last())
	var out bytes.Buffer
	fmt.Fprintf(&out, header+` id="%d" name="%s" displayName="%s" ref="%s"><autoFilter ref="%s"/><tableColumns count="%d">`,
		len(s.b.tables)+1, name, name, at, at, len(a.heads))
	for i, head := range a.heads {
		fmt.Fprintf(&out, `<tableColumn id="%d" name="`, i+1)
		s.b.fail(xml.EscapeText(&out, []byte(head)))
		out.WriteString(`"/>`)
	}
	out.WriteString(`</tableColumns><tableStyleInfo name="TableStyleLight1" showFirstColumn="0" showLastColumn="0" showRowStripes="0" showColumnStripes="0"/></table>`)
	s.b.tables = append(s.b.tables, tablePart{s.b.parts[s.name], out.Bytes()})
}

// addTables adds tables to the parts that the library wrote, and to the lists in these.
func (c *collected) addTables(tables []tablePart) error {
	const kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.table+xml"
	const relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/table"
	var contents []byte
	relations, listed := map[int][]byte{}, map[int][]byte{} // by sheet
	for i, t := range tables {
		name := fmt.Sprintf("tables/table%d.xml", i+1)
		c.parts = append(c.parts, &part{"xl/" + name, t.xml})
		contents = fmt.Appendf(contents, `<Override PartName="/xl/%s" ContentType="%s"/>`, name, kind)
		relations[t.sheet] = fmt.Appendf(relations[t.sheet], `<Relationship Id="rIdTable%d" Type="%s" Target="../%s"/>`, i+1, relation, name)
		listed[t.sheet] = fmt.Appendf(listed[t.sheet], `<tablePart r:id="rIdTable%d"/>`, i+1)
	}
	if err := c.insert(contentsPart, contents, "</Types>"); err != nil {
		return err
	}
	for sheet, parts := range listed {
		count := bytes.Count(parts, []byte("<tablePart "))
		more := fmt.Appendf(nil, `<tableParts count="%d">%s</tableParts>`, count, parts)
		if err := c.insert(fmt.Sprintf("xl/worksheets/sheet%d.xml", sheet), more, "</worksheet>"); err != nil {
			return err
		}
		if err := c.relate(fmt.Sprintf("xl/worksheets/_rels/sheet%d.xml.rels", sheet), relations[sheet]); err != nil {
			return err
		}
	}
	return nil
}

// relate adds relations to their part, which the library writes for those of its own only.
func (c *collected) relate(name string, relations []byte) error {
	const end = "</Relationships>"
	if c.find(name) == nil {
		const header = `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`
		c.parts = append(c.parts, &part{name, []byte(header + end)})
	}
	return c.insert(name, relations, end)
}
